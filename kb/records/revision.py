"""Which schema a database has, asked cheaply: nothing of Alembic is loaded here."""

from functools import cache
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from kb.errors import StorageError

MIGRATIONS = Path(__file__).with_name("migrations")
_UNDEFINED_TABLE = "42P01"  # PostgreSQL's manual, appendix A


def known() -> tuple[str, ...]:
    """Return the revisions that this program knows, oldest first.

    Each migration's file is named `NNNN_what.py`, where NNNN is its revision.
    """
    return _numbers(MIGRATIONS)


@cache  # a program that is replaced on the disk while it runs knows no more than before
def _numbers(migrations: Path) -> tuple[str, ...]:
    names = (entry.name for entry in (migrations / "versions").iterdir())
    return tuple(sorted(name.split("_")[0] for name in names if name[:4].isdigit()))


def head() -> str:
    """Return the newest revision that this program knows."""
    return known()[-1]


def current(connection: Connection) -> str | None:
    """Return the database's revision, or None for an empty database.

    Every unit of work asks, so it's one plain question; where it finds no table on PostgreSQL
    the transaction is spent.
    """
    try:
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    except DBAPIError as error:
        if not _lacks_table(error.orig):
            raise
        return None
    return None if found is None else str(found)


def _lacks_table(driver: BaseException | None) -> bool:
    # SQLite has no code of its own for it.
    return getattr(driver, "sqlstate", None) == _UNDEFINED_TABLE or "no such table" in str(driver)


def require_current(connection: Connection) -> None:
    """Refuse a database whose schema is not this program's.

    Raises:
        StorageError: It is newer (also when it became so while a `serve` ran), older or empty.
    """
    found = current(connection)
    if found == head():
        return
    _require_known(found)
    raise StorageError(
        f"This base has the older schema {found or 'none'}. Any command of the terminal brings "
        "it up to date, after a backup copy.",
    )


def require_known(connection: Connection) -> None:
    """Refuse a database whose schema is newer than this program's; an older one may pass.

    Raises:
        StorageError: It is newer.
    """
    _require_known(current(connection))


def _require_known(found: str | None) -> None:
    if found is not None and found not in known():
        raise StorageError(
            f"This base was written by a newer kitlore (schema {found}; this program knows "
            f"{head()}). Nothing was changed. Bring this program up to date, and start 'kitlore "
            "serve' anew if it is running.",
        )
