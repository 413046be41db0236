"""The journal: each flush of a unit of work leaves who, when, from, to, and a change to index.

It hangs on the session itself (`kb.records.session` opens every one), so that no function that
writes can forget it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, event, insert, inspect, literal_column
from sqlalchemy.orm import Session, UOWTransaction
from sqlalchemy.orm.attributes import flag_modified
from sqlmodel import col, select

from kb.errors import ConflictError, NotFoundError
from kb.records import naming
from kb.records.tables.base import Record, is_key
from kb.records.tables.journal import Change, History
from kb.records.unit import RecordSession, Writer, is_postgresql, writer

_UNKEPT = frozenset({"id", "version", "name_folded", "name_order"})
RecordT = TypeVar("RecordT", bound=Record)


@dataclass(frozen=True)
class Step:
    """One change of one record.

    Attributes:
        at: When.
        who: By whom.
        device: From where.
        kind: The record's table.
        record_id: The record's key in its table.
        version: The version that it made.
        changes: Column to (from, to).
    """

    at: datetime
    who: str
    device: str
    kind: str
    record_id: int
    version: int
    changes: dict[str, tuple[Any, Any]]

    def __str__(self) -> str:
        """Return the step as one line."""
        told = "; ".join(
            f"{name.removesuffix('_id').replace('_', ' ')} {_told(old)} -> {_told(new)}"
            for name, (old, new) in self.changes.items()
        )
        return f"{self.at:%Y-%m-%d %H:%M} UTC, {self.who}: {told}"


def steps(session: Session, kind: str, record_id: int) -> tuple[Step, ...]:
    """Return every change of a record, oldest first.

    Args:
        session: The unit of work.
        kind: The record's table ('item').
        record_id: Its key.
    """
    found = session.scalars(
        select(History)
        .where(History.kind == kind, History.record_id == record_id)
        .order_by(col(History.id)),
    )
    return tuple(_step(row) for row in found)


def readable(session: Session, found: Iterable[Step]) -> tuple[Step, ...]:
    """Return steps with names where they hold the keys of other records."""
    return tuple(
        replace(step, changes=naming.named(session, step.kind, step.changes)) for step in found
    )


def for_change(
    session: Session, table: type[RecordT], record_id: int, seen: int | None = None
) -> RecordT:
    """Return a record, locked for this unit of work.

    Args:
        session: The unit of work.
        table: The record's table.
        record_id: Its key.
        seen: The version that the writer looked at before; None where it's read just now.

    Raises:
        ConflictError: It was changed since it was seen; the message tells what was changed.
        NotFoundError: There is none.
    """
    found = (
        session.get(table, record_id, with_for_update=True, populate_existing=True)
        if is_key(record_id)
        else None
    )
    name = str(table.__tablename__)
    if found is None:
        raise NotFoundError(name, str(record_id), "Look it up again.")
    if seen is not None and seen != found.version:
        later = [step for step in steps(session, name, record_id) if step.version > seen]
        since = [str(step) for step in readable(session, later)]
        raise ConflictError(
            f"This {name} was changed after you looked (version {seen} then, {found.version} "
            f"now): {' | '.join(since) or 'by a correction'}. Nothing of yours was written. "
            "Look at it again, then repeat your change.",
        )
    return found


def add_step(session: Session, record: Record, name: str, old: object, new: object) -> None:
    """Journal a change of what hangs on a record (a service's items) as one of its own.

    So its version counts that change too, and the second of two writers is told of the first.

    Args:
        session: The unit of work.
        record: The record, stored.
        name: What changed, as a column is named.
        old: From what, as JSON takes it.
        new: To what.
    """
    if old == new:
        return
    flag_modified(record, "version")
    session.flush()
    session.execute(insert(History), [_history(writer(session), record, {name: [old, new]})])
    _announce(session, [record])


def _step(row: History) -> Step:
    changes = {name: (pair[0], pair[1]) for name, pair in row.changes.items()}
    return Step(row.at, row.who, row.device, row.kind, row.record_id, row.version, changes)


def _told(value: object) -> str:
    return "nothing" if value is None else f"'{value}'"


def keep(session: RecordSession) -> None:
    """Journal everything that this unit of work writes."""
    event.listen(session, "before_flush", _count_versions)
    event.listen(session, "after_flush", _keep)


def _count_versions(session: Session, _context: UOWTransaction, _instances: object) -> None:
    for record in session.deleted:
        if isinstance(record, Record):
            msg = f"{record!r} would be deleted; records retire, are withdrawn or are merged"
            raise TypeError(msg)
    for record in session.dirty:
        if isinstance(record, Record) and session.is_modified(record):
            record.version += 1


def _keep(session: Session, _context: UOWTransaction) -> None:
    kept = [
        (record, changes)
        for record in [*session.new, *session.dirty]
        if isinstance(record, Record) and (changes := _changes_of(record))
    ]
    if not kept:
        return
    by = writer(session)
    session.execute(insert(History), [_history(by, *pair) for pair in kept])
    _announce(session, [record for record, _changes in kept])


def _history(by: Writer, record: Record, changes: dict[str, Any]) -> dict[str, Any]:
    return {
        "at": by.at,
        "who": by.who,
        "device": by.device,
        "kind": str(record.__tablename__),
        "record_id": record.id,
        "version": record.version,
        "changes": changes,
    }


def _changes_of(record: Record) -> dict[str, list[Any]]:
    """Return column -> [from, to] of what this flush wrote; None is the 'from' of a new one."""
    state = inspect(record)
    changes: dict[str, list[Any]] = {}
    for name in state.mapper.column_attrs.keys():  # noqa: SIM118 - no dict, a collection
        past = state.attrs[name].history
        if name in _UNKEPT or not past.has_changes():
            continue
        old = past.deleted[0] if past.deleted else None
        new = past.added[0] if past.added else None
        if old != new and not (old is None and new == {}):
            changes[name] = [_plain(old), _plain(new)]
    return changes


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value


def _announce(session: Session, records: Iterable[Record]) -> None:
    """Leave a row for each record that a derived index has to read again."""
    # PostgreSQL documents pg_current_xact_id(); its order tells which rows may still appear.
    mark: ColumnElement[int] | None = (
        literal_column("pg_current_xact_id()::text::bigint") if is_postgresql(session) else None
    )
    for record in records:
        session.execute(
            insert(Change).values(mark=mark, kind=str(record.__tablename__), record_id=record.id),
        )
