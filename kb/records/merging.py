"""Point everything that named one record to another, each change journalled."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, SQLModel, select

from kb.records.schema import METADATA
from kb.records.tables.base import Record
from kb.records.tables.gear import Code


def repoint(
    session: Session,
    table: type[Record],
    old: int,
    new: int,
    leaving: tuple[type[Record], ...] = (),
) -> int:
    """Make every reference to one record point to another, and return how many did.

    References by `merged_into_id` follow too, so that a chain of merges stays one step long.

    Args:
        session: The unit of work.
        table: The table of both records.
        old: The key that shall no longer be named.
        new: The key named instead.
        leaving: Tables whose references stay as they are.
    """
    moved = 0
    for holder, column in _references(str(table.__tablename__)):
        if holder in leaving:
            continue
        attribute = getattr(holder, column)
        for row in session.scalars(select(holder).where(attribute == old)):
            setattr(row, column, new)
            moved += 1
    session.flush()
    return moved


@dataclass(frozen=True)
class Lines:
    """Lines that name records, below one they belong to.

    Attributes:
        table: Their table; a line taken off has its `removed_at`.
        of: The column of what they belong to.
        names: The column of the record that they name.
    """

    table: type[Record]
    of: str
    names: str


def remove_doubled(session: Session, lines: Lines, gone: int, kept: int, at: datetime) -> None:
    """Leave one line where two records that are merged were named beside each other.

    Args:
        session: The unit of work.
        lines: Which lines.
        gone: The key of the record that goes; its line is taken off.
        kept: The key of the one that stays.
        at: When.
    """
    table: Any = lines.table
    named, of = getattr(table, lines.names), getattr(table, lines.of)
    stands = table.removed_at.is_(None)
    beside = select(of).where(named == kept, stands)
    for line in session.scalars(select(table).where(named == gone, stands, of.in_(beside))).all():
        line.removed_at = at
    session.flush()


def _references(name: str) -> list[tuple[type[SQLModel], str]]:
    """Return each (table, column) whose foreign key points to the table of that name."""
    tables: list[type[SQLModel]] = [*Record.__subclasses__(), Code]
    holders = {str(one.__tablename__): one for one in tables}
    return [
        (holders[table.name], key.parent.name)
        for table in METADATA.sorted_tables
        for key in table.foreign_keys
        if key.column.table.name == name
    ]
