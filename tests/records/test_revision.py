from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from schemas import LATER, NEXT, PRESENT
from sqlalchemy import Connection, Engine, event

from kb.errors import StorageError
from kb.records import revision, session


@contextmanager
def _stamped(engine: Engine, found: str) -> Iterator[Connection]:
    with engine.connect() as connection:
        connection.exec_driver_sql(f"UPDATE alembic_version SET version_num = '{found}'")  # noqa: S608
        yield connection


def test_each_migration_file_is_a_known_revision() -> None:
    folder = Path(revision.MIGRATIONS) / "versions"
    assert revision.known() == tuple(sorted(p.name[:4] for p in folder.glob("[0-9]*.py")))
    assert revision.head() == revision.known()[-1]


def test_the_revision_is_asked_with_one_statement(studio_engine: Engine) -> None:
    asked: list[str] = []
    event.listen(studio_engine, "before_cursor_execute", lambda *seen: asked.append(seen[2]))
    with studio_engine.connect() as connection:
        assert revision.current(connection) == revision.head()
    assert [one for one in asked if not one.startswith("BEGIN")] == [
        "SELECT version_num FROM alembic_version",
    ]


def test_a_database_without_tables_has_no_revision() -> None:
    with session.engine_for("sqlite://").connect() as connection:
        assert revision.current(connection) is None


def test_an_error_that_is_not_a_missing_table_is_not_taken_for_one(studio_engine: Engine) -> None:
    with studio_engine.connect() as connection:
        connection.exec_driver_sql("ALTER TABLE alembic_version RENAME COLUMN version_num TO x")
        with pytest.raises(Exception, match="no such column"):
            revision.current(connection)


def test_a_newer_base_is_refused_by_both(studio_engine: Engine) -> None:
    with _stamped(studio_engine, "9999") as connection:
        for require in (revision.require_current, revision.require_known):
            with pytest.raises(StorageError, match="written by a newer kitlore \\(schema 9999"):
                require(connection)


@pytest.mark.usefixtures("newer_program")
def test_an_older_base_is_known_but_not_current(studio_engine: Engine) -> None:
    with _stamped(studio_engine, PRESENT) as connection:
        revision.require_known(connection)
        with pytest.raises(StorageError, match=f"older schema {PRESENT}"):
            revision.require_current(connection)


def test_a_program_replaced_while_it_runs_knows_no_newer_schema(newer_program: Path) -> None:
    assert revision.head() == NEXT
    (newer_program / "versions" / f"{LATER}_later.py").write_text("")
    assert revision.head() == NEXT
