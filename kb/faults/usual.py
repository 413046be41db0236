"""What is usually wrong with things of a class: words for one press."""

from collections import Counter
from dataclasses import dataclass

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.entries import library, parse
from kb.gear import lookup
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model

_NEWEST = 3_000


@dataclass(frozen=True)
class UsualLine:
    """A usual symptom: the entry that it belongs to, and the words that are logged."""

    entry: str
    words: str


def usual(session: Session, typed: str, limit: int = 6) -> tuple[UsualLine, ...]:
    """Return the usual symptoms of an item's class, the most frequent here first.

    Where nothing happened yet, entries that speak of few classes come before general ones.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        limit: How many at most.

    Raises:
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    model = lookup.by_key(session, Model, item.model_id) if item.model_id else None
    if model is None or model.equipment_class is None:
        return ()
    wanted = model.equipment_class
    happened = _happened(session, wanted)
    # Most entries don't even hold the word; parsing takes longer than all else here.
    texts = [text for text in library.texts(session).values() if wanted in text]
    fitting = [entry for entry in map(parse.entry_from, texts) if wanted in entry.classes]
    fitting.sort(key=lambda entry: (-happened[entry.slug], len(entry.classes), entry.slug))
    return tuple(UsualLine(entry.slug, entry.title) for entry in fitting[:limit])


def _happened(session: Session, equipment_class: str) -> Counter[str]:
    """Return how often each entry was needed for the class among the newest faults."""
    newest = (
        select(Fault.entry_id, Fault.seen_item_id)
        .where(STANDS)
        .order_by(col(Fault.noticed_at).desc(), col(Fault.id).desc())
        .limit(_NEWEST)
        .subquery()
    )
    rows = session.execute(
        select(Entry.slug, func.count())
        .join(newest, newest.c.entry_id == col(Entry.id))
        .join(Item, newest.c.seen_item_id == col(Item.id))
        .join(Model, col(Item.model_id) == Model.id)
        .where(Model.equipment_class == equipment_class)
        .group_by(Entry.slug),
    )
    return Counter({str(slug): int(times) for slug, times in rows})
