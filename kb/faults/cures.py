"""What has worked before: on this item, and on others of its model."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from kb.entries import library, parse
from kb.faults import attempts
from kb.gear import lookup
from kb.records.kinds import Outcome
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item

_LOOKED_AT = 200


@dataclass(frozen=True)
class CureLine:
    """A fix that worked, however often.

    Attributes:
        title: The fix's heading, or what was done in words.
        entry: Slug of the entry; empty where the fix is of none.
        entry_title: The entry's title.
        here: How often it worked on the item itself.
        alike: How often on others of its model.
        last_at: When it worked last.
        fault: The fault on which it did.
        text: What had been reported there.
    """

    title: str
    entry: str
    entry_title: str
    here: int
    alike: int
    last_at: datetime
    fault: int
    text: str


@dataclass(frozen=True)
class _Made:
    """One attempt that worked."""

    attempt: Attempt
    fault: Fault
    here: bool


def cures_of(session: Session, typed: str, limit: int = 5) -> tuple[CureLine, ...]:
    """Return the fixes that worked, the most often on the item itself first.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        limit: How many at most.

    Raises:
        NotFoundError: The item is unknown.
    """
    grouped: dict[tuple[int | None, str], list[_Made]] = {}
    for made in _worked(session, lookup.item(session, typed)):
        key = (made.attempt.entry_id, made.attempt.fix_key or made.attempt.what or "")
        grouped.setdefault(key, []).append(made)
    told = [_line(session, entry, fix, made) for (entry, fix), made in grouped.items()]
    told.sort(key=lambda one: (-one.here, -one.alike, -one.last_at.timestamp()))
    return tuple(told[:limit])


def _worked(session: Session, item: Item) -> Iterable[_Made]:
    """Return the newest attempts that worked on the item or its model."""
    alike = col(Item.id) == item.key
    if item.model_id is not None:
        alike = alike | (col(Item.model_id) == item.model_id)
    rows = session.execute(
        select(Attempt, Fault)
        .join(Fault, col(Attempt.fault_id) == Fault.id)
        .join(Item, col(Fault.seen_item_id) == Item.id)
        .where(alike, Attempt.outcome == Outcome.WORKED, col(Attempt.struck_at).is_(None))
        .order_by(col(Attempt.at).desc(), col(Attempt.id).desc())
        .limit(_LOOKED_AT),
    )
    return [_Made(attempt, fault, fault.seen_item_id == item.key) for attempt, fault in rows]


def _line(session: Session, entry: int | None, fix: str, made: list[_Made]) -> CureLine:
    last = made[0]
    here = sum(one.here for one in made)
    slug, entry_title, titles = _entry(session, entry)
    return CureLine(
        title=titles.get(fix, fix),
        entry=slug,
        entry_title=entry_title,
        here=here,
        alike=len(made) - here,
        last_at=last.attempt.at,
        fault=last.fault.key,
        text=last.fault.text,
    )


def _entry(session: Session, key: int | None) -> tuple[str, str, dict[str, str]]:
    """Return an entry's slug, its title, and its fixes' titles by key."""
    text = library.texts(session, [key]).get(key) if key is not None else None
    if text is None:
        return "", "", {}
    entry = parse.entry_from(text)
    titles = {fix.key: fix.title for fix in entry.fixes}
    if entry.swap is not None:
        titles[attempts.SWAP] = entry.swap.title
    return entry.slug, entry.title, titles
