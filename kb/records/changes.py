"""The change feed: what a derived index has still to read, without skipping a row.

On SQLite there is one writer at a time, so rows become visible in the order of their numbers.
On PostgreSQL a row with a lower number may become visible after one with a higher. So each row
carries its transaction's number; a reader remembers the oldest transaction that was still
running when it read (`start`), reads from there again next time, and leaves out what it has
read already (`taken`). Nothing is skipped, and nothing has to wait for a long transaction.
"""

from dataclasses import dataclass

from sqlalchemy import text
from sqlmodel import Session, col, select

from kb.records.position import Position
from kb.records.tables.journal import Base, Change
from kb.records.unit import is_postgresql


@dataclass(frozen=True)
class Feed:
    """What changed since a position.

    Attributes:
        changed: The records, as (kind, key), each once.
        position: Where to read on from.
        whole: Whether the reader must start anew: it has read another base, or nothing yet.
    """

    changed: tuple[tuple[str, int], ...]
    position: Position
    whole: bool


def mark_of(session: Session) -> str:
    """Return the mark of the base, which its copies keep and no other base has."""
    return session.scalars(select(Base.mark)).one()


def since(session: Session, position: Position | None) -> Feed:
    """Return what changed since the position.

    Args:
        session: The unit of work.
        position: Where the reader stopped; None for one that has read nothing.
    """
    base = mark_of(session)
    whole = position is None or position.base != base
    known = Position(base) if position is None or whole else position
    if is_postgresql(session):
        return _since_on_postgresql(session, known, whole=whole)
    return _since_on_sqlite(session, known, whole=whole)


def _since_on_sqlite(session: Session, known: Position, *, whole: bool) -> Feed:
    newest = session.scalars(select(Change.id).order_by(col(Change.id).desc()).limit(1)).first()
    end = (newest or 0) + 1
    if whole or end < known.start:  # an older copy was put in its place
        return Feed((), Position(known.base, end), whole=True)
    rows = session.execute(
        select(Change.kind, Change.record_id)
        .where(col(Change.id) >= known.start)
        .order_by(col(Change.id)),
    )
    changed = tuple(dict.fromkeys((kind, key) for kind, key in rows))
    return Feed(changed, Position(known.base, end), whole=False)


def _since_on_postgresql(session: Session, known: Position, *, whole: bool) -> Feed:
    # The horizon is read before the rows: what lies below it is then surely among them.
    horizon = int(
        session.execute(
            text("SELECT pg_snapshot_xmin(pg_current_snapshot())::text::bigint"),
        ).scalar_one(),
    )
    found = session.execute(
        select(Change.id, Change.mark, Change.kind, Change.record_id)
        .where(col(Change.mark) >= (horizon if whole else known.start))
        .order_by(col(Change.id)),
    ).all()
    fresh = [] if whole else [row for row in found if row[0] not in known.taken]
    taken = frozenset(row[0] for row in found if row[1] >= horizon)
    changed = tuple(dict.fromkeys((row[2], row[3]) for row in fresh))
    return Feed(changed, Position(known.base, horizon, taken), whole=whole)
