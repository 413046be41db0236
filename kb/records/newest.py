"""When something was recorded last; no ORM is loaded here for a base in a file."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime

from kb.records.workspace import Workspace

_NEWEST = "SELECT at FROM history ORDER BY id DESC LIMIT 1"


def recorded(place: Workspace) -> datetime | None:
    """Return when something was recorded last in a workspace.

    None for never, and where it can't be asked: what opens the base tells why.
    """
    if place.settings.database is not None:
        return _on_server(place.settings.database)
    try:
        address = f"{place.database.resolve().as_uri()}?mode=ro"
        with closing(sqlite3.connect(address, uri=True)) as asked:
            found = asked.execute(_NEWEST).fetchone()
    except sqlite3.Error:
        return None
    return datetime.fromisoformat(found[0]).replace(tzinfo=UTC) if found else None


def _on_server(url: str) -> datetime | None:
    from sqlalchemy import text  # noqa: PLC0415 - a base in a file can do without
    from sqlalchemy.exc import SQLAlchemyError  # noqa: PLC0415

    from kb.records import session  # noqa: PLC0415

    engine = session.engine_for(url)
    try:
        with engine.connect() as connection:
            found: datetime | None = connection.execute(text(_NEWEST)).scalar()
    except SQLAlchemyError:
        return None
    finally:
        engine.dispose()
    return found.astimezone(UTC) if found else None
