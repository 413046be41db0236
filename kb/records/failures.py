"""What a database driver reports, in our own families of errors."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import URL
from sqlalchemy.exc import DBAPIError, IntegrityError

from kb.errors import BusyError, ConflictError, KitloreError, StorageError

# The primary result codes of SQLite (sqlite.org/rescode.html), the low byte of the extended one.
_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL}
_SENTENCES = {
    sqlite3.SQLITE_FULL: "There is no room left on the disk of {path}. Nothing was changed. "
    "Make room, then try again.",
    sqlite3.SQLITE_IOERR: "The disk of {path} can't be read or written just now (it may be full). "
    "Nothing was changed. Make room or look at the disk, then try again.",
    sqlite3.SQLITE_READONLY: "{path} can't be written: the folder or the disk is read-only. "
    "Nothing was changed. Make it writable, or use another workspace.",
    sqlite3.SQLITE_CANTOPEN: "{path} can't be opened. It is missing, or its folder is read-only "
    "or belongs to somebody else. Look at the folder, or use another workspace.",
    sqlite3.SQLITE_CORRUPT: "{path} is damaged. Stop writing to it and run 'kitlore check'; "
    "'kitlore restore' brings back the last backup.",
    sqlite3.SQLITE_NOTADB: "{path} is damaged: it is no database any more. Keep the file, then "
    "bring back the last backup with 'kitlore restore'.",
}

# PostgreSQL's error codes (appendix A of its manual): two writers in each other's way, or a
# server that can't write.
_SERVER_BUSY = {"40001", "40P01", "55P03"}
_SERVER_SENTENCES = {
    "53100": "There is no room left on the disk of the database at {host}. Nothing was changed. "
    "Make room, then try again.",
    "25006": "The database at {host} is read-only just now. Nothing was changed. Look whether it "
    "is a copy, or ask who keeps it.",
}


@contextmanager
def translated(url: URL) -> Iterator[None]:
    """Turn a driver's error into one of ours, naming the database.

    Raises:
        BusyError: Another writer holds the database.
        ConflictError: A constraint forbids the change.
        StorageError: It can't be opened, read or written.
    """
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        ours = _ours(error, url)
        if ours is None:
            raise
        raise ours from error


def _ours(error: DBAPIError | sqlite3.Error, url: URL) -> KitloreError | None:
    driver = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(error, IntegrityError):
        return ConflictError(f"That contradicts what is recorded ({driver}). Look again.")
    if isinstance(driver, sqlite3.Error):
        return _of_sqlite(driver, Path(url.database or ""))
    return _of_postgresql(error, driver, url) if isinstance(error, DBAPIError) else None


def _of_sqlite(driver: sqlite3.Error, path: Path) -> KitloreError | None:
    code = getattr(driver, "sqlite_errorcode", None)
    primary = code & 0xFF if code is not None else None
    if primary in _BUSY:
        return BusyError(
            f"Somebody else is writing to {path} just now. Nothing was changed. Try again.",
        )
    if primary in _SENTENCES:
        return StorageError(_SENTENCES[primary].format(path=path), path)
    return None


def _of_postgresql(
    error: DBAPIError, driver: BaseException | None, url: URL
) -> KitloreError | None:
    state = str(getattr(driver, "sqlstate", None) or "")
    if state in _SERVER_BUSY:
        return BusyError(
            "Somebody else is writing the same records just now. Nothing was changed. Try again.",
        )
    if state in _SERVER_SENTENCES:
        return StorageError(_SERVER_SENTENCES[state].format(host=url.host))
    lost = type(driver).__name__ == "OperationalError" and not state
    if error.connection_invalidated or lost or state.startswith(("08", "57P")):
        return StorageError(
            f"The database at {url.host} doesn't answer. Look whether it runs and whether the "
            "network is up, then try again.",
        )
    return None
