"""What has worked before: on this item, and on others of its model."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from kb.gear import lookup
from kb.records.kinds import Outcome
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item


@dataclass(frozen=True)
class CureLine:
    """A fix that worked.

    Attributes:
        at: When.
        item: Name of the item that it worked on.
        here: Whether that's the item asked about.
        entry: Slug of the entry; empty where the fix is of none.
        title: The entry's title.
        fix: The fix's key; empty where it was told in words.
        what: The words.
        fault: The fault's number.
        text: What had been reported.
    """

    at: datetime
    item: str
    here: bool
    entry: str
    title: str
    fix: str
    what: str
    fault: int
    text: str


def cures_of(session: Session, typed: str, limit: int = 5) -> tuple[CureLine, ...]:
    """Return the fixes that worked last, those on the item itself before others of its model.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        limit: How many at most.

    Raises:
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    alike = Item.id == item.key
    if item.model_id is not None:
        alike = alike | (Item.model_id == item.model_id)
    here = col(Fault.seen_item_id) == item.key
    rows = session.execute(
        select(Attempt, Fault, Item.name, Entry.slug, Entry.title)
        .join(Fault, col(Attempt.fault_id) == Fault.id)
        .join(Item, col(Fault.seen_item_id) == Item.id)
        .outerjoin(Entry, col(Attempt.entry_id) == Entry.id)
        .where(alike, Attempt.outcome == Outcome.WORKED, col(Attempt.struck_at).is_(None))
        .order_by(here.desc(), col(Attempt.at).desc())
        .limit(limit),
    )
    return tuple(
        CureLine(
            at=attempt.at,
            item=name,
            here=fault.seen_item_id == item.key,
            entry=slug or "",
            title=title or "",
            fix=attempt.fix_key or "",
            what=attempt.what or "",
            fault=fault.key,
            text=fault.text,
        )
        for attempt, fault, name, slug, title in rows
    )
