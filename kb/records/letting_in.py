"""Who was let in, over a restore: what was ended since the backup was made stays ended."""

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import col, select

from kb.errors import KitloreError
from kb.records import session, soundness
from kb.records.tables.crew import Feed, Pairing
from kb.records.tables.journal import History
from kb.records.unit import Writer

_TABLES = "SELECT name FROM sqlite_master WHERE type = 'table'"
# Who is forgotten is let in no more either, without their pairings being ended.
_ENDED = {
    "pairing": """
        SELECT pairing.secret, pairing.ticket FROM pairing JOIN person ON person.id = person_id
        WHERE pairing.ended_at IS NOT NULL OR person.forgotten_at IS NOT NULL
    """,
    "feed": """
        SELECT feed.secret FROM feed JOIN person ON person.id = person_id
        WHERE feed.ended_at IS NOT NULL OR person.forgotten_at IS NOT NULL
    """,
}


def ended_in(base: Path) -> frozenset[str] | None:
    """Return the digests of what an SQLite base let in once and does no more.

    None where that can't be told, since the base is missing or damaged.
    """
    try:
        if soundness.of_file(base):
            return None
        with closing(soundness.opened(base)) as connection:
            there = {name for (name,) in connection.execute(_TABLES)}
            rows = [
                row
                for table, ended in _ENDED.items()
                if table in there
                for row in connection.execute(ended)
            ]
            return frozenset(digest for row in rows for digest in row if digest)
    except (KitloreError, sqlite3.DatabaseError):
        return None


def end(engine: Engine, ended: frozenset[str] | None, at: datetime) -> None:
    """End in a base what is named, or all that is let in where that couldn't be told.

    Args:
        engine: The base.
        ended: What `ended_in` found.
        at: The time now.
    """
    with session.read(engine) as unit:
        newest = unit.scalars(select(History.at).order_by(col(History.id).desc())).first()
    # A clock that is wrong just now must not make the newest record an old one.
    by = Writer("restore", "terminal", max(at, newest) if newest else at)
    with session.begin(engine, by) as unit:
        for row in unit.scalars(select(Pairing).where(col(Pairing.ended_at).is_(None))):
            if ended is None or not ended.isdisjoint({row.secret, row.ticket}):
                row.ended_at = by.at
        for feed in unit.scalars(select(Feed).where(col(Feed.ended_at).is_(None))):
            if ended is None or feed.secret in ended:
                feed.ended_at = by.at
