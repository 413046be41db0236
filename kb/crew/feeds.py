"""Calendars: secret addresses that read the shows and nothing else, listed and ended at any time.

Keys are 256 bits of chance; only their SHA-256 is kept, as of pairings.
"""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, update
from sqlmodel import Session, col, select

from kb.checking import Draft, Line, OptionalLine, check
from kb.crew import pairings, people
from kb.errors import NotFoundError
from kb.records import failures, journal
from kb.records.tables.base import is_key
from kb.records.tables.crew import Feed, Person
from kb.records.unit import writer

_BYTES = 32


class FeedDraft(Draft):
    """What a lead says of a calendar: in whose name, and how it's called."""

    person: Line
    device: Line
    place: OptionalLine = None


@dataclass(frozen=True)
class MadeFeed:
    """What a calendar is given, once and nowhere else."""

    number: int
    device: str
    key: str


@dataclass(frozen=True)
class OpenFeed:
    """Whose shows a key opens: all of them where no place is named."""

    number: int
    place_id: int | None
    last_used: datetime | None


@dataclass(frozen=True)
class FeedLine:
    """A calendar in a list; `place_id` is None where it tells the shows of every place."""

    number: int
    person: str
    device: str
    place_id: int | None
    made: datetime
    last_used: datetime | None
    version: int


def add_feed(
    session: Session, values: Mapping[str, Any], at: datetime, place_id: int | None = None
) -> MadeFeed:
    """Make an address for a calendar, and return the key that is in it.

    Args:
        session: The unit of work.
        values: The fields of `FeedDraft`, as typed.
        at: When.
        place_id: The place whose shows it tells; those of all where it's left out.

    Raises:
        InvalidError: A field is wrong.
        NotFoundError: Nobody has the name.
    """
    draft = check(FeedDraft, values)
    person = people.person_by(session, draft.person)
    key = secrets.token_urlsafe(_BYTES)
    row = Feed(
        person_id=person.key,
        device=draft.device,
        place_id=place_id,
        secret=pairings.digest(key),
        made_at=at,
    )
    session.add(row)
    session.flush()
    return MadeFeed(row.key, row.device, key)


def end_feed(session: Session, number: int, seen: int | None = None) -> str:
    """End a calendar's address at once, and return how the calendar was called.

    Raises:
        ConflictError: Changed since it was seen.
        NotFoundError: There is none of that number.
    """
    found = session.get(Feed, number) if is_key(number) else None
    if found is None or found.ended_at is not None:
        raise NotFoundError("calendar", str(number), "It may have been ended already.")
    row = journal.for_change(session, Feed, number, seen)
    row.ended_at = writer(session).at
    session.flush()
    return row.device


def feeds(session: Session) -> tuple[FeedLine, ...]:
    """Return the calendars that are let read, the newest first."""
    rows = session.execute(
        select(Feed, Person.name)
        .join(Person, col(Feed.person_id) == col(Person.id))
        .where(col(Feed.ended_at).is_(None))
        .order_by(col(Feed.id).desc())
    )
    return tuple(
        FeedLine(
            row.key, name, row.device, row.place_id, row.made_at, row.last_used_at, row.version
        )
        for row, name in rows
    )


def opened(session: Session, key: str) -> OpenFeed | None:
    """Return what a key opens; None where it's unknown or ended."""
    row = session.scalars(
        select(Feed)
        .join(Person, col(Feed.person_id) == col(Person.id))
        .where(
            Feed.secret == pairings.digest(key),
            col(Feed.ended_at).is_(None),
            col(Person.forgotten_at).is_(None),
        )
    ).first()
    return OpenFeed(row.key, row.place_id, row.last_used_at) if row else None


def note_read(engine: Engine, number: int, at: datetime) -> None:
    """Note when a calendar was read last: no change of a record, so none in the journal.

    Raises:
        BusyError: Another writer holds the database.
        StorageError: It can't be written.
    """
    row = update(Feed).where(col(Feed.id) == number).values(last_used_at=at)
    with failures.translated(engine.url), engine.begin() as connection:
        connection.execute(row)
