"""The unit of work: a session that knows who writes."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm
from sqlmodel import Session


@dataclass(frozen=True)
class Writer:
    """Who writes, from where, and when: kept beside each change.

    Attributes:
        who: The person's name, or the name the machine knows them by.
        device: The face and machine it came from ('terminal', 'phone of M.O.').
        at: The time, aware.
    """

    who: str
    device: str
    at: datetime


class RecordSession(Session):
    """A unit of work whose changes are journalled (see `kb.records.journal`)."""


def writer(session: orm.Session) -> Writer:
    """Return who writes in this unit of work."""
    found: Writer = session.info["writer"]
    return found


def is_postgresql(session: orm.Session) -> bool:
    """Return whether the session talks to PostgreSQL."""
    return session.get_bind().dialect.name == "postgresql"


def write_as(session: orm.Session, by: Writer) -> None:
    """Let what is written from here on be written by somebody else, or at another time.

    Raises:
        RuntimeError: Something is pending still, and would get the wrong name.
    """
    if session.new or session.dirty:
        msg = "flush before the writer changes"
        raise RuntimeError(msg)
    session.info["writer"] = by
