"""What a database driver reports, in our own families of errors."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import URL
from sqlalchemy.exc import DBAPIError, IntegrityError

from kb.errors import BusyError, ConflictError, KitloreError, StorageError

# The primary result codes of SQLite (sqlite.org/rescode.html), the low byte of the extended one.
_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
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
    if isinstance(error, DBAPIError) and (error.connection_invalidated or _unreachable(driver)):
        return StorageError(
            f"The database at {url.host} doesn't answer. Look whether it runs and whether the "
            "network is up, then try again.",
        )
    return None


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


def _unreachable(driver: BaseException | None) -> bool:
    state = getattr(driver, "sqlstate", None)
    return (
        driver is not None
        and type(driver).__name__ == "OperationalError"
        and (state is None or str(state).startswith(("08", "57P")))
    )
