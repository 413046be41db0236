"""The journal: what changed, by whom, and what a derived index has still to read."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, Column, Index, Integer
from sqlmodel import Field, SQLModel

from kb.records.tables.base import UtcTime

# SQLite numbers rows by itself only where the key is a plain INTEGER.
_BIG = BigInteger().with_variant(Integer, "sqlite")


class Base(SQLModel, table=True):
    """The one row that tells this base from any other; a restored copy gets a new mark."""

    __tablename__ = "base"

    id: int = Field(default=1, primary_key=True)
    mark: str


class History(SQLModel, table=True):
    """One record changed in one unit of work: who, when, from, to.

    `changes` maps a column to [from, to]; a new record has null as each from.
    """

    __tablename__ = "history"
    __table_args__ = (
        Index("ix_history_record", "kind", "record_id"),
        {"sqlite_autoincrement": True},
    )

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(sa_type=UtcTime)
    who: str
    device: str
    kind: str
    record_id: int
    version: int
    changes: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)


class Delivery(SQLModel, table=True):
    """A form that came in once: the digest of its key and of what it said."""

    __tablename__ = "delivery"

    digest: str = Field(primary_key=True)
    at: datetime = Field(sa_type=UtcTime)


class Change(SQLModel, table=True):
    """A record that a derived index must read again.

    On PostgreSQL rows become visible out of order, so each carries its transaction in `mark`
    (see `kb.records.changes`); SQLite has one writer at a time and leaves it empty.
    """

    __tablename__ = "change"
    __table_args__ = (
        Index("ix_change_mark", "mark"),
        {"sqlite_autoincrement": True},
    )

    id: int | None = Field(default=None, sa_column=Column(_BIG, primary_key=True))
    mark: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    kind: str
    record_id: int
