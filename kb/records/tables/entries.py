"""Entries of the troubleshooting base and their revisions."""

from datetime import datetime

from sqlalchemy import Index
from sqlmodel import Field

from kb.records.kinds import EntryStatus
from kb.records.tables.base import Record, UtcTime, one_of


class Entry(Record, table=True):
    """A page of the troubleshooting base; its text is that of its newest revision.

    `starter_digest` is the SHA-256 of the starter base's text last taken in, so that a newer
    starter can be told from the crew's own edit.
    """

    __tablename__ = "entry"
    __table_args__ = (one_of("status", EntryStatus),)

    slug: str = Field(unique=True)
    title: str
    area: str = Field(index=True)
    status: str = EntryStatus.ACCEPTED
    revision: int = 1
    starter_digest: str | None = None


class EntryRevision(Record, table=True):
    """The Markdown of an entry as it stood, and who put it so."""

    __tablename__ = "entry_revision"
    __table_args__ = (Index("ix_entry_revision_entry_number", "entry_id", "number", unique=True),)

    entry_id: int = Field(foreign_key="entry.id")
    number: int
    text: str
    digest: str
    at: datetime = Field(sa_type=UtcTime)
    by: str
    note: str | None = None


class OwnWord(Record, table=True):
    """What the crew calls something, and the same in words that the search knows."""

    __tablename__ = "own_word"

    word: str
    means: str
    at: datetime = Field(sa_type=UtcTime)
    by: str
    removed_at: datetime | None = Field(default=None, sa_type=UtcTime)
