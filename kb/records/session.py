"""Engines and units of work: one transaction a command or request, or nothing.

SQLite runs in WAL with `synchronous=FULL`, since one switch powers the whole studio off; both
are asserted on every connection, as are foreign keys.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event

from kb.errors import StorageError
from kb.records import failures, journal, revision
from kb.records.unit import RecordSession, Writer

BUSY_SECONDS = 5.0
_WRITES = "kitlore_writes"
_SYNCHRONOUS_FULL = 2


def engine_for(url: str, busy_seconds: float = BUSY_SECONDS) -> Engine:
    """Return an engine on the database at `url`; nothing is opened yet.

    Args:
        url: An SQLAlchemy URL of SQLite or PostgreSQL (driver psycopg).
        busy_seconds: How long a writer waits for another on SQLite.
    """
    if not url.startswith("sqlite"):
        return create_engine(url, pool_pre_ping=True)
    # The driver's own transaction control is off: it would begin too late to read consistently.
    engine = create_engine(url, connect_args={"timeout": busy_seconds, "isolation_level": None})
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    event.listen(engine, "checkin", _end_sqlite)
    return engine


def connect_to_read(engine: Engine) -> Connection:
    """Return a connection that only reads, and so waits for no writer."""
    return engine.execution_options(**{_WRITES: False}).connect()


@contextmanager
def begin(engine: Engine, writer: Writer) -> Iterator[RecordSession]:
    """Open a unit of work that writes: committed on success, else nothing is kept.

    Raises:
        BusyError: Another writer holds the database.
        ConflictError: A constraint of the database forbids the change.
        StorageError: The database is full, read-only, damaged or newer than the program.
    """
    with failures.translated(engine.url), _session(engine, writes=True) as session:
        session.info["writer"] = writer
        yield session
        session.commit()


@contextmanager
def read(engine: Engine) -> Iterator[RecordSession]:
    """Open a unit of work that only reads, on one consistent state.

    Raises:
        BusyError: Another writer holds the database.
        StorageError: The database can't be read, is damaged or newer than the program.
    """
    with failures.translated(engine.url), _session(engine, writes=False) as session:
        yield session


@contextmanager
def _session(engine: Engine, *, writes: bool) -> Iterator[RecordSession]:
    options: dict[str, Any] = {_WRITES: writes}
    if not writes and engine.dialect.name == "postgresql":
        options["isolation_level"] = "REPEATABLE READ"
    bound = engine.execution_options(**options)
    with RecordSession(bound, expire_on_commit=False) as session:
        revision.require_current(session.connection())
        journal.keep(session)
        yield session


def _begin_sqlite(connection: Connection) -> None:
    # A writer takes the lock at once: two that read first could both be refused later.
    writes = connection.get_execution_options().get(_WRITES, True)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _end_sqlite(connection: Any, _record: object) -> None:  # noqa: ANN401 - the driver's own
    # A commit that failed leaves SQLite inside the transaction, and SQLAlchemy takes it for
    # ended: without this the connection would hold the writer's lock for good.
    if connection is not None and connection.in_transaction:
        connection.rollback()


def _set_up_sqlite(connection: Any, _record: object) -> None:  # noqa: ANN401 - the driver's own
    in_memory = not _file_of(connection)
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    found = {
        name: connection.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("foreign_keys", "journal_mode", "synchronous")
    }
    wanted = {
        "foreign_keys": 1,
        "journal_mode": "memory" if in_memory else "wal",
        "synchronous": _SYNCHRONOUS_FULL,
    }
    if found != wanted:
        raise StorageError(
            f"The database can't be kept safe here: {found} instead of {wanted}. "
            "Put the workspace on a local disk that can be written.",
        )


def _file_of(connection: sqlite3.Connection) -> str:
    return str(connection.execute("PRAGMA database_list").fetchone()[2])
