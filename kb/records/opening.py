"""Open the base of a workspace; every command and the web begin here."""

from sqlalchemy import Engine

from kb import clock
from kb.errors import StorageError
from kb.records import failures, revision, session
from kb.records.workspace import Workspace


def open_engine(workspace: Workspace) -> Engine:
    """Return an engine on the workspace's base, whose schema is this program's.

    A base with an older schema is brought up to date, after a backup copy.

    Raises:
        BusyError: An older `serve` still runs on it, or somebody else is writing.
        StorageError: It's missing, damaged, newer than this program, or can't be reached.
    """
    if workspace.settings.database is None and not workspace.database.is_file():
        raise StorageError(
            f"{workspace.database} is missing. Bring back a backup with 'kitlore restore'.",
            workspace.database,
        )
    engine = session.engine_for(workspace.url)
    with failures.translated(engine.url), session.connect_to_read(engine) as connection:
        found = revision.current(connection)
    if found is None:
        raise StorageError(
            f"{engine.url.render_as_string()} holds no base of Kitlore. Look at 'database' in the "
            "workspace's settings, or bring back a backup with 'kitlore restore'.",
            workspace.folder,
        )
    if found != revision.head():
        # Alembic and what makes a copy are loaded only where they are needed.
        from kb.records import upgrading  # noqa: PLC0415

        upgrading.bring_up(workspace, engine, clock.now())
    return engine
