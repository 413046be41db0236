"""Make the database of a new workspace; it loads Alembic, so only what makes one imports it."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine, insert, inspect, text

from kb.errors import StorageError
from kb.records import failures, migrate, session
from kb.records.schema import METADATA
from kb.records.tables.journal import Base
from kb.records.workspace import Workspace


@contextmanager
def created(workspace: Workspace) -> Iterator[Engine]:
    """Make the base of a workspace in the making: every table, and the mark of the base.

    What stands in a new base (the starter entries, the first person) is the caller's to add,
    in units of work of its own. A failure leaves nothing, on a server neither.

    Raises:
        BusyError: Somebody else writes to the database.
        StorageError: It isn't empty, or can't be written.
    """
    with emptied_on_failure(workspace.url) as engine:
        migrate.upgrade(engine)
        with failures.translated(engine.url), engine.begin() as connection:
            connection.execute(insert(Base).values(mark=new_mark()))
        yield engine


@contextmanager
def emptied_on_failure(url: str) -> Iterator[Engine]:
    """Open an empty database to fill; where that fails it's empty again. Closed at the end.

    Raises:
        StorageError: It isn't empty, or can't be reached.
    """
    engine = session.engine_for(url)
    try:
        _require_empty(engine)
        try:
            yield engine
        except BaseException:
            _empty(engine)
            raise
    finally:
        engine.dispose()


def new_mark() -> str:
    """Return a mark that no other base has; it makes every derived index start anew."""
    return secrets.token_hex(16)


def _require_empty(engine: Engine) -> None:
    file = engine.url.database if engine.dialect.name == "sqlite" else None
    if file and not Path(file).exists():
        return
    with failures.translated(engine.url):
        filled = inspect(engine).get_table_names()
    if filled:
        raise StorageError(
            f"The database {engine.url.render_as_string()} isn't empty: it holds "
            f"'{filled[0]}'. Nothing was changed. Name an empty database.",
        )


def _empty(engine: Engine) -> None:
    """Take our own tables away again; the file of an embedded one goes with its folder."""
    if engine.dialect.name == "sqlite":
        return
    with failures.translated(engine.url), engine.begin() as connection:
        METADATA.drop_all(connection)
        connection.execute(text("DROP TABLE IF EXISTS alembic_version"))
