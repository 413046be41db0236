"""What the tables share: named constraints, times in UTC, the base of a kept record."""

from collections.abc import Iterable
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, DateTime, Dialect
from sqlalchemy.types import TypeDecorator
from sqlmodel import Field, SQLModel

# Alembic rebuilds a table on SQLite and can only carry over constraints that have names.
SQLModel.metadata.naming_convention = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

# Keys are 32 bits wide on a server; a number that a person typed may be longer.
KEY_LIMIT = 2**31


def is_key(number: int) -> bool:
    """Return whether a number that a person typed can be a record's key."""
    return 0 < number < KEY_LIMIT


class UtcTime(TypeDecorator[datetime]):
    """An aware time, kept in UTC on every engine."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Return the time in UTC; a naive one is a defect of the caller."""
        if value is None:
            return None
        if value.tzinfo is None:
            msg = f"naive time {value!r}"
            raise ValueError(msg)
        return value.astimezone(UTC)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ANN401, ARG002
        """Return the stored time, aware; SQLite keeps no zone."""
        if value is None:
            return None
        stored: datetime = value
        return stored.replace(tzinfo=UTC) if stored.tzinfo is None else stored.astimezone(UTC)


class Record(SQLModel):
    """A record whose every change is kept: who, when, from, to.

    `version` counts the changes, so that the second of two writers can be told of the first.
    """

    id: int | None = Field(default=None, primary_key=True)
    version: int = Field(default=1)

    @property
    def key(self) -> int:
        """The primary key, once stored."""
        if self.id is None:
            msg = "the record is not stored yet"
            raise RuntimeError(msg)
        return self.id


def one_of(column: str, words: Iterable[StrEnum]) -> CheckConstraint:
    """Return the CHECK that a column holds one of the words."""
    listed = ", ".join(f"'{word.value}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_known")
