"""Make a backup: one file, a whole and verified copy, while others go on writing."""

import itertools
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection

from kb import __version__
from kb.errors import BusyError, StorageError
from kb.records import archive, disk, failures, revision, session, soundness, transfer
from kb.records import settings as setting_file
from kb.records.archive import About
from kb.records.workspace import Workspace

PATIENCE_SECONDS = 5.0
_STEP_SECONDS = 0.1


def make(workspace: Workspace, at: datetime, to: Path | None = None, occasion: str = "") -> Path:
    """Make a backup, verify what was written, and return its path.

    In it are the database, the settings without the server's address, and the uploads.

    Args:
        workspace: What is copied.
        at: The time now.
        to: The file to write, or a folder to put it in; the workspace's `backups` if None.
        occasion: What the name shall say about why it was made ('before-restore').

    Raises:
        BusyError: Somebody holds the database for himself.
        StorageError: The base is damaged, the file is there already, or the disk is full or
            can't be written. Nothing is left behind.
    """
    target = _target(workspace, at, to, occasion)
    with disk.staging(target.parent) as staging:
        database = staging / archive.DATABASE
        _copy_base(workspace, database)
        packed = staging / "backup.zip"
        schema, mark = schema_and_mark(database)
        about = About(program=__version__, schema_revision=schema, base=mark, made=at)
        archive.pack(packed, about, _parts(workspace, staging))
        _verify(packed, staging / "verified", workspace)
        with disk.refusals(target):
            packed.rename(target)
        disk.sync_folder(target.parent)
    return target


def copy_file(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """Copy a whole SQLite database as of one moment, into another that may be in use.

    Raises:
        BusyError: One of both stays locked.
    """
    source.backup(target, progress=_patience(), sleep=_STEP_SECONDS)


def schema_and_mark(database: Path) -> tuple[str, str]:
    """Return the schema revision and the mark of the base in an SQLite file.

    Raises:
        StorageError: It holds no base, or a damaged one.
    """
    try:
        with closing(soundness.opened(database)) as connection:
            schema, mark = connection.execute(
                "SELECT (SELECT version_num FROM alembic_version), mark FROM base",
            ).fetchone()
    except (sqlite3.DatabaseError, TypeError) as error:
        raise StorageError(
            f"The base is damaged, or none of Kitlore's ({error}). Run 'kitlore check'; 'kitlore "
            "restore' brings back the last backup.",
        ) from error
    return str(schema), str(mark)


def _patience() -> Callable[[int, int, int], None]:
    """Return what ends a copy that finds a lock again and again; SQLite itself never would."""
    tries = itertools.count(1)

    def progress(status: int, _remaining: int, _total: int) -> None:
        locked = status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
        if locked and next(tries) * _STEP_SECONDS >= PATIENCE_SECONDS:
            raise BusyError("Somebody else holds the base. Nothing was changed. Try again.")

    return progress


def _verify(packed: Path, into: Path, workspace: Workspace) -> None:
    archive.unpack(packed, into)
    found = soundness.of_file(into / archive.DATABASE)
    if found:
        raise StorageError(
            f"The base of {workspace.folder} is damaged, so no backup was made of it: "
            f"{' '.join(found)} 'kitlore restore' brings back the last backup.",
            workspace.folder,
        )


def _target(workspace: Workspace, at: datetime, to: Path | None, occasion: str) -> Path:
    if to is not None and not to.is_dir():
        if to.exists():
            raise StorageError(f"{to} is there already. Nothing was changed. Name another.", to)
        return to.absolute()
    stem = f"kitlore-{at.astimezone(UTC):%Y-%m-%d-%H%M%SZ}{f'-{occasion}' if occasion else ''}"
    return disk.free_path((to or workspace.backups).absolute(), stem, ".zip")


def _copy_base(workspace: Workspace, to: Path) -> None:
    if workspace.settings.database is None:
        _copy_embedded(workspace.database, to)
    else:
        _copy_server(workspace.url, to)


def _copy_embedded(database: Path, to: Path) -> None:
    with (
        failures.translated(URL.create("sqlite", database=str(database))),
        closing(soundness.opened(database, busy_seconds=0)) as source,
        closing(sqlite3.connect(to)) as target,
    ):
        target.execute("PRAGMA synchronous=OFF")  # nobody needs it before it is packed
        copy_file(source, target)
        target.execute("PRAGMA journal_mode=DELETE")  # one file, without a log beside it


def _copy_server(url: str, to: Path) -> None:
    """Copy a base on a server into an SQLite file of the same schema."""
    from kb.records import migrate  # noqa: PLC0415 - Alembic, which a copy of a file can do without

    engine, target = session.engine_for(url), session.engine_for(f"sqlite:///{to}")
    options = {"isolation_level": "REPEATABLE READ"}
    try:
        with (
            failures.translated(engine.url),
            engine.connect().execution_options(**options) as source,
        ):
            migrate.upgrade(target, _schema(source))
            with target.connect() as connection:
                # Rows may name others that come later; the whole copy is checked afterwards.
                # The pragma does nothing inside a transaction, so it's sent beneath one.
                driver: Any = connection.connection.driver_connection
                driver.execute("PRAGMA foreign_keys=OFF")
                transfer.copy_rows(source, connection)
                connection.commit()
    finally:
        engine.dispose()
        target.dispose()
    with closing(sqlite3.connect(to)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")


def _schema(source: Connection) -> str:
    found = revision.current(source)
    if found is None:
        address = source.engine.url.render_as_string()
        raise StorageError(f"{address} holds no base of Kitlore. Look at the settings.")
    revision.require_known(source)
    return found


def _parts(workspace: Workspace, staging: Path) -> dict[str, Path]:
    """Return name in the zip -> file, the database in `staging`."""
    settings = workspace.settings
    if settings.database is not None:  # an address may hold a password
        setting_file.save(staging, settings.model_copy(update={"database": None}))
    kept = staging if settings.database is not None else workspace.folder
    uploads = {
        path.relative_to(workspace.folder).as_posix(): path
        for path in sorted(workspace.uploads.rglob("*"))
        if path.is_file() and not path.is_symlink() and not path.name.startswith(".")
    }
    return {
        archive.DATABASE: staging / archive.DATABASE,
        archive.SETTINGS: kept / setting_file.FILE,
        **uploads,
    }
