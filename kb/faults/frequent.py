"""What is often wrong lately, in the whole house or at one place."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.gear import lookup
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Fault

DAYS = 90


@dataclass(frozen=True)
class FrequentLine:
    """An entry, and how often it was needed lately."""

    slug: str
    title: str
    times: int


def frequent(
    session: Session, now: datetime, place: str | None = None, limit: int = 6
) -> tuple[FrequentLine, ...]:
    """Return the entries that faults of the last ninety days had, the most often needed first.

    Args:
        session: The unit of work.
        now: The time now.
        place: Only of what was seen at this place or within it.
        limit: How many at most.

    Raises:
        ConflictError: Several places have that name.
        NotFoundError: There is no such place.
    """
    times = func.count(col(Fault.id))
    query = (
        select(Entry.slug, Entry.title, times)
        .join(Fault, col(Fault.entry_id) == Entry.id)
        .where(Fault.noticed_at >= now - timedelta(days=DAYS), STANDS)
        .group_by(Entry.slug, Entry.title)
        .order_by(times.desc(), Entry.slug)
        .limit(limit)
    )
    if place:
        within = lookup.Tree(session).within(lookup.place(session, place).key)
        query = query.where(col(Fault.seen_place_id).in_(within))
    return tuple(FrequentLine(slug, title, count) for slug, title, count in session.execute(query))
