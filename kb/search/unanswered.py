"""Searches that found nothing: the list of entries to write next, most asked first."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.checking import Draft, Line, check
from kb.errors import NotFoundError
from kb.gear import lookup
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Unanswered
from kb.records.unit import writer


class QueryDraft(Draft):
    """What was searched."""

    query: Line


@dataclass(frozen=True)
class UnansweredLine:
    """A query that found nothing, how often it was asked, and when last."""

    query: str
    times: int
    last_at: datetime


def keep(session: Session, query: str, at: datetime, item: str | None = None) -> str:
    """Keep a search that found nothing, and return it as it's kept.

    Raises:
        InvalidError: The query is empty, too long or holds control characters.
        NotFoundError: The item is unknown.
    """
    draft = check(QueryDraft, {"query": query})
    session.add(
        Unanswered(
            query=draft.query,
            at=at,
            by=writer(session).who,
            item_id=lookup.item(session, item).key if item else None,
        ),
    )
    session.flush()
    return draft.query


def answer(session: Session, query: str, slug: str) -> int:
    """Say that an entry answers a query now, and return how often it had been asked.

    Raises:
        InvalidError: The query is empty, too long or holds control characters.
        NotFoundError: The entry is unknown, or nobody asked that.
    """
    query = check(QueryDraft, {"query": query}).query
    entry = session.scalars(select(Entry).where(Entry.slug == slug)).first()
    if entry is None:
        raise NotFoundError("entry", slug, "See 'kitlore entries list'.")
    asked = session.scalars(
        select(Unanswered).where(
            Unanswered.query == query, col(Unanswered.answered_by_id).is_(None)
        ),
    ).all()
    if not asked:
        raise NotFoundError("unanswered search", query, "See 'kitlore entries wanted'.")
    for one in asked:
        one.answered_by_id = entry.key
    session.flush()
    return len(asked)


def wanted(
    session: Session, query: str | None = None, limit: int = 50
) -> tuple[UnansweredLine, ...]:
    """Return what was searched and not found, most asked first.

    Args:
        session: The unit of work.
        query: Only this search.
        limit: How many at most.
    """
    times, last = func.count(), func.max(Unanswered.at)
    found = select(Unanswered.query, times, last).where(col(Unanswered.answered_by_id).is_(None))
    if query is not None:
        found = found.where(Unanswered.query == query)
    rows = session.execute(
        found.group_by(Unanswered.query)
        .order_by(times.desc(), last.desc(), col(Unanswered.query))
        .limit(limit),
    )
    return tuple(UnansweredLine(query, count, at) for query, count, at in rows)
