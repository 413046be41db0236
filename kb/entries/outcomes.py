"""Whether a fix held: the rule behind the evidence, without a database."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import Any

from kb.records.kinds import Outcome


@dataclass(frozen=True)
class Tried:
    """One attempt, as far as its verdict needs.

    Attributes:
        fault: The fault's number.
        item: The item that it was seen on, by key; None where none is known.
        at: When.
        outcome: What was said at once.
        restored: Whether the fault is restored now, and never came back after the attempt.
        last: Whether no later attempt was made on the fault.
    """

    fault: int
    item: int | None
    at: datetime
    outcome: Outcome
    restored: bool
    last: bool


@dataclass(frozen=True)
class Evidence:
    """How often a fix was tried here, and held.

    Attributes:
        tried: Attempts whose verdict is known.
        worked: Those that held for the hold time.
        pending: When the hold time ends of each that worked and may still fail.
        last_on: When it was tried last.
    """

    tried: int = 0
    worked: int = 0
    pending: tuple[datetime, ...] = ()
    last_on: datetime | None = None

    def at(self, now: datetime) -> "Evidence":
        """Return the evidence at a later time: what was pending may have held by then."""
        held = [end for end in self.pending if end <= now]
        return Evidence(
            self.tried + len(held),
            self.worked + len(held),
            tuple(end for end in self.pending if end > now),
            self.last_on,
        )

    def in_words(self, zone: tzinfo) -> str:
        """Return the evidence as it's told beside a fix; the last day is one of the zone."""
        if self.last_on is None:
            return "trade practice, not tried here yet"
        parts = [f"tested here {self.worked} of {self.tried}"] if self.tried else []
        if self.pending:
            parts.append(f"{len(self.pending)} worked, too young to count")
        return ", ".join([*parts, f"last on {self.last_on.astimezone(zone):%Y-%m-%d}"])


def kept_in_words(kept: Mapping[str, Any], now: datetime, zone: tzinfo) -> str:
    """Return evidence as it's told, from the form that the search index keeps it in.

    Args:
        kept: `tried`, `worked`, `pending` and `last_on`, times in ISO 8601.
        now: The time now: what was pending when it was kept may have held since.
        zone: The zone that the last day is told in.
    """
    last = kept["last_on"]
    evidence = Evidence(
        kept["tried"],
        kept["worked"],
        tuple(datetime.fromisoformat(end) for end in kept["pending"]),
        datetime.fromisoformat(last) if last else None,
    )
    return evidence.at(now).in_words(zone)


def weigh(
    tries: Iterable[Tried],
    seen: Iterable[tuple[int, int, datetime]],
    now: datetime,
    hold: timedelta,
) -> Evidence:
    """Return the evidence of a fix.

    An attempt worked when the same fault did not return on the item within the hold time. It
    did not hold where its own fault came back or needed another attempt later.

    Args:
        tries: The attempts of one fix, none of them struck out.
        seen: Every fault of the same entry, as (number, item, when noticed).
        now: The time now.
        hold: The hold time.
    """
    noticed: dict[int, list[tuple[int, datetime]]] = {}
    for number, item, when in seen:
        noticed.setdefault(item, []).append((number, when))
    tried = worked = 0
    pending: list[datetime] = []
    last: datetime | None = None
    for one in tries:
        last = one.at if last is None else max(last, one.at)
        held = _held(one, noticed, hold)
        if held and now < one.at + hold:
            pending.append(one.at + hold)
        else:
            tried += 1
            worked += held
    return Evidence(tried, worked, tuple(pending), last)


def _held(one: Tried, noticed: Mapping[int, list[tuple[int, datetime]]], hold: timedelta) -> bool:
    if one.outcome is not Outcome.WORKED or not (one.restored and one.last):
        return False
    on_item = noticed.get(one.item, ()) if one.item is not None else ()
    return not any(
        number != one.fault and one.at < when <= one.at + hold for number, when in on_item
    )
