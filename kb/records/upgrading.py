"""Bring an older base to this program's schema, after a backup copy."""

from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine

from kb.records import backup, failures, migrate, revision, serving, session
from kb.records.workspace import Workspace


def bring_up(workspace: Workspace, engine: Engine, at: datetime) -> Path:
    """Bring the base up to date and return the backup made before.

    Args:
        workspace: The workspace.
        engine: An engine on its base.
        at: The time now.

    Raises:
        BusyError: A `serve` still works with the older schema, or somebody else is writing.
        StorageError: The base is newer, damaged, or there's no room for the copy; it stays as
            it was.
    """
    with failures.translated(engine.url), session.connect_to_read(engine) as connection:
        revision.require_known(connection)
    serving.require_none(
        workspace,
        f"This program has to bring the base to schema {revision.head()} first. Stop that one, "
        "then try again.",
    )
    kept = backup.make(workspace, at, occasion=f"before-schema-{revision.head()}")
    migrate.upgrade(engine)
    return kept
