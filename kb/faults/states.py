"""Where a fault stands, and whether an attempt held: the rules, without a database."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from kb.records.kinds import FaultState, Outcome


@dataclass(frozen=True)
class Tried:
    """One attempt, as far as its verdict needs.

    Attributes:
        fault: The fault's number.
        item: The item that it was seen on, by key; None where none is known.
        at: When.
        outcome: What was said at once.
        restored: Whether the fault is restored now.
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
        pending: Attempts that worked, inside their hold time still.
        last_on: When it was tried last.
    """

    tried: int = 0
    worked: int = 0
    pending: int = 0
    last_on: datetime | None = None

    def in_words(self) -> str:
        """Return the evidence as it's told beside a fix."""
        if not self.tried and not self.pending:
            return "trade practice, not tried here yet"
        waiting = f", {self.pending} pending" if self.pending else ""
        last = f", last on {self.last_on:%Y-%m-%d}" if self.last_on else ""
        return f"tested here {self.worked} of {self.tried}{waiting}{last}"


def state_of(
    restored_at: datetime | None, closed_at: datetime | None, now: datetime, hold: timedelta
) -> FaultState:
    """Return where a fault stands: open, watched inside the hold time, or closed."""
    if restored_at is None:
        return FaultState.OPEN
    if closed_at is not None or now >= restored_at + hold:
        return FaultState.CLOSED
    return FaultState.WATCHED


def weigh(
    tries: Iterable[Tried],
    seen: Iterable[tuple[int, int, datetime]],
    now: datetime,
    hold: timedelta,
) -> Evidence:
    """Return the evidence of a fix.

    An attempt worked when the same fault did not return on the item within the hold time. It
    did not hold where its own fault is open again or needed another attempt later.

    Args:
        tries: The attempts of one fix, none of them struck out.
        seen: Every fault of the same entry, as (number, item, when noticed).
        now: The time now.
        hold: The hold time.
    """
    noticed = list(seen)
    tried = worked = pending = 0
    last: datetime | None = None
    for one in tries:
        last = one.at if last is None else max(last, one.at)
        if one.outcome is Outcome.WORKED and one.restored and one.last:
            back = any(
                number != one.fault and item == one.item and one.at < when <= one.at + hold
                for number, item, when in noticed
            )
            if not back and now < one.at + hold:
                pending += 1
                continue
            worked += not back
        tried += 1
    return Evidence(tried, worked, pending, last)
