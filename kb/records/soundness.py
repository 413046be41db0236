"""Whether an SQLite file is sound: its structure, its constraints, its foreign keys."""

import sqlite3
from collections import defaultdict
from contextlib import closing
from pathlib import Path

from sqlalchemy import URL

from kb.records import failures

DAMAGED = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
_TOLD = 3


def of_file(path: Path) -> tuple[str, ...]:
    """Return what is wrong with an SQLite file, a sentence each; none for a sound one.

    SQLite keeps no checksums: a letter that changed inside a text is not noticed.

    Raises:
        BusyError: Somebody holds the file for himself.
        StorageError: It can't be opened.
    """
    with failures.translated(URL.create("sqlite", database=str(path))):
        try:
            with closing(opened(path)) as connection:
                return (*_structure(connection), *_references(connection))
        except sqlite3.DatabaseError as error:
            if not is_damage(error):
                raise
            return (f"{path.name} is damaged: {error}.",)


def opened(path: Path, busy_seconds: float = 5.0) -> sqlite3.Connection:
    """Return a connection that only reads a file that is there.

    Args:
        path: The file.
        busy_seconds: How long to wait for one who holds the file for himself.

    Raises:
        sqlite3.OperationalError: It's missing, or can't be opened.
    """
    # A file opened in SQLite's own read-only mode is not checked against its CHECK constraints.
    address = f"{path.resolve().as_uri()}?mode=rw"
    connection = sqlite3.connect(address, timeout=busy_seconds, uri=True)
    connection.execute("PRAGMA query_only=ON")
    # A damaged file may hold text that is none.
    connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
    return connection


def is_damage(error: sqlite3.Error) -> bool:
    """Return whether SQLite says that the file is no sound database."""
    code = getattr(error, "sqlite_errorcode", None)
    return code is not None and code & 0xFF in DAMAGED


def _structure(connection: sqlite3.Connection) -> tuple[str, ...]:
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
    if found == ["ok"]:
        return ()
    told = "; ".join(line.replace("\n", " ") for line in found[:_TOLD])
    more = f"; {len(found) - _TOLD} more" if len(found) > _TOLD else ""
    return (f"The database is damaged: {told}{more}.",)


def _references(connection: sqlite3.Connection) -> tuple[str, ...]:
    missing: dict[tuple[str, str], list[int]] = defaultdict(list)
    for table, row, parent, _key in connection.execute("PRAGMA foreign_key_check"):
        missing[table, parent].append(row)
    return tuple(
        f"{len(rows)} row(s) of '{table}' name a '{parent}' that doesn't exist "
        f"(the first is number {rows[0]})."
        for (table, parent), rows in missing.items()
    )
