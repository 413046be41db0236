"""Names in place of the keys that a record's columns hold, so that a person can read them."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from kb.records.schema import METADATA

# What a record is called by; faults and the like go by their number.
_CALLED = {
    "item": ("name",),
    "model": ("maker", "name"),
    "place": ("name",),
    "entry": ("slug",),
    "person": ("name",),
    "show": ("title",),
    "spare": ("name",),
}


def named(
    session: Session, kind: str, changes: Mapping[str, tuple[Any, Any]]
) -> dict[str, tuple[Any, Any]]:
    """Return the changes of a record with each key of another record as that one's name.

    Args:
        session: The unit of work.
        kind: The record's table.
        changes: Column to (from, to).
    """
    targets = {
        column.name: key.column.table
        for column in METADATA.tables[kind].columns
        for key in column.foreign_keys
    }
    return {
        name: (_name(session, targets.get(name), old), _name(session, targets.get(name), new))
        for name, (old, new) in changes.items()
    }


def _name(session: Session, table: Any, value: Any) -> Any:  # noqa: ANN401 - as JSON holds it
    called = _CALLED.get(table.name, ()) if table is not None else ()
    if value is None or not called:
        return value
    row = session.execute(select(*(table.c[one] for one in called)).where(table.c.id == value))
    return " ".join(row.one())
