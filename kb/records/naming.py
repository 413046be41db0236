"""What the journal holds, as a person reads it: names in place of keys, times in the zone."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

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
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+\+00:00")
_MINOR = "_minor"


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


def words(
    changes: Mapping[str, tuple[Any, Any]], zone: ZoneInfo
) -> tuple[tuple[str, str, str], ...]:
    """Return each change as what changed, from what, to what; 'from' is empty for what was none.

    Args:
        changes: Column to (from, to), as `named` returns them.
        zone: The zone in which times are told.
    """
    return tuple(
        (
            name.removesuffix("_id").removesuffix(_MINOR).replace("_", " "),
            "" if old is None else _told(name, old, zone),
            _told(name, new, zone),
        )
        for name, (old, new) in changes.items()
    )


def _told(column: str, value: object, zone: ZoneInfo) -> str:
    if value is None:
        return "nothing"
    if column.endswith(_MINOR) and isinstance(value, int):
        return f"{value // 100}.{value % 100:02d}"
    if isinstance(value, dict):
        return ", ".join(f"{name}={one}" for name, one in value.items()) or "nothing"
    if isinstance(value, str) and _TIME.fullmatch(value):
        return f"{datetime.fromisoformat(value).astimezone(zone):%Y-%m-%d %H:%M}"
    return str(value)


def _name(session: Session, table: Any, value: Any) -> Any:  # noqa: ANN401 - as JSON holds it
    called = _CALLED.get(table.name, ()) if table is not None else ()
    if value is None or not called:
        return value
    row = session.execute(select(*(table.c[one] for one in called)).where(table.c.id == value))
    return " ".join(row.one())
