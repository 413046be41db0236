"""What a driver reports becomes a family of ours, and a sentence that names the database."""

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import make_url
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError

from kb.errors import BusyError, ConflictError, KitloreError, StorageError
from kb.records import failures

FILE = make_url("sqlite:////srv/studio/kitlore.db")
SERVER = make_url("postgresql+psycopg://crew@base.studio/kitlore")


def of_sqlite(code: int | None) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("as the driver says it")
    if code is not None:
        error.sqlite_errorcode = code
    return error


def of_server(name: str, state: str | None) -> Exception:
    """Return an error like the server's driver raises it, which needn't be there."""
    error: Exception = type(name, (Exception,), {})("as the driver says it")
    error.sqlstate = state  # type: ignore[attr-defined]
    return error


def translated(driver: Exception, url: object = FILE) -> KitloreError:
    wrapped = OperationalError("SELECT 1", {}, driver)
    with pytest.raises(KitloreError) as caught, failures.translated(make_url(str(url))):
        raise wrapped
    assert caught.value.__cause__ is wrapped
    return caught.value


# The codes are those of sqlite.org/rescode.html; the low byte of an extended one is the primary.
@pytest.mark.parametrize(
    ("code", "family", "sentence"),
    [
        (5, BusyError, "Somebody else is writing to /srv/studio/kitlore.db just now."),
        (6, BusyError, "Somebody else is writing"),
        (15, BusyError, "Somebody else is writing"),
        (517, BusyError, "Somebody else is writing"),  # BUSY_SNAPSHOT
        (8, StorageError, "can't be written: the folder or the disk is read-only."),
        (264, StorageError, "the folder or the disk is read-only."),  # READONLY_RECOVERY
        (1032, StorageError, "the folder or the disk is read-only."),  # READONLY_DBMOVED
        (10, StorageError, "can't be read or written just now (it may be full)."),
        (778, StorageError, "can't be read or written just now (it may be full)."),  # IOERR_WRITE
        (11, StorageError, "is damaged. Stop writing to it and run 'kitlore check'"),
        (267, StorageError, "is damaged. Stop writing"),  # CORRUPT_VTAB
        (13, StorageError, "There is no room left on the disk of /srv/studio/kitlore.db."),
        (14, StorageError, "can't be opened."),
        (26, StorageError, "is damaged: it is no database any more."),
    ],
)
def test_a_code_of_sqlite_becomes_a_family_and_a_sentence(
    code: int, family: type[KitloreError], sentence: str
) -> None:
    error = translated(of_sqlite(code))
    assert type(error) is family
    assert sentence in error.message
    assert "/srv/studio/kitlore.db" in error.message
    if isinstance(error, StorageError):
        assert error.path == Path("/srv/studio/kitlore.db")


# The codes are those of appendix A of PostgreSQL's manual.
@pytest.mark.parametrize(
    ("name", "state", "family", "sentence"),
    [
        ("SerializationFailure", "40001", BusyError, "writing the same records just now"),
        ("DeadlockDetected", "40P01", BusyError, "writing the same records just now"),
        ("LockNotAvailable", "55P03", BusyError, "writing the same records just now"),
        ("DiskFull", "53100", StorageError, "no room left on the disk of the database at base."),
        ("ReadOnlySqlTransaction", "25006", StorageError, "base.studio is read-only just now"),
        ("OperationalError", None, StorageError, "The database at base.studio doesn't answer"),
        ("ConnectionFailure", "08006", StorageError, "base.studio doesn't answer"),
        ("AdminShutdown", "57P01", StorageError, "base.studio doesn't answer"),
        ("CannotConnectNow", "57P03", StorageError, "base.studio doesn't answer"),
    ],
)
def test_a_code_of_a_server_becomes_a_family_and_a_sentence(
    name: str, state: str | None, family: type[KitloreError], sentence: str
) -> None:
    error = translated(of_server(name, state), SERVER)
    assert type(error) is family
    assert sentence in error.message


def test_a_connection_that_was_lost_is_told_as_such() -> None:
    lost = DBAPIError("SELECT 1", {}, of_server("Error", "XX000"), connection_invalidated=True)
    with pytest.raises(StorageError, match="doesn't answer"), failures.translated(SERVER):
        raise lost


def test_a_constraint_that_was_broken_is_a_conflict() -> None:
    broken = IntegrityError("INSERT", {}, sqlite3.IntegrityError("UNIQUE constraint failed: x.y"))
    with pytest.raises(ConflictError, match=r"\(UNIQUE constraint failed: x\.y\)"):  # noqa: SIM117
        with failures.translated(FILE):
            raise broken


def test_an_error_raised_below_the_toolkit_is_translated_too() -> None:
    with pytest.raises(StorageError, match="read-only"), failures.translated(FILE):
        raise of_sqlite(8)


@pytest.mark.parametrize(
    "defect",
    [
        OperationalError("SELECT x", {}, of_sqlite(1)),  # no such column: a defect of ours
        OperationalError("SELECT x", {}, of_sqlite(None)),
        DBAPIError("SELECT x", {}, of_server("UndefinedColumn", "42703")),
        LookupError("something else"),
    ],
)
def test_a_defect_of_ours_stays_what_it_is(defect: Exception) -> None:
    with pytest.raises(type(defect)) as caught, failures.translated(SERVER):
        raise defect
    assert caught.value is defect


def test_what_goes_well_is_left_alone() -> None:
    with failures.translated(FILE):
        pass
