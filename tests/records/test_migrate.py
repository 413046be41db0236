"""The migrations make what the tables say, whole or not at all."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import CheckConstraint, Engine, inspect
from sqlalchemy.exc import OperationalError

from kb.errors import BusyError, StorageError
from kb.records import migrate, revision
from kb.records import session as units
from kb.records.schema import METADATA

Opened = Callable[[], Engine]


def differences(engine: Engine) -> list[Any]:
    """Return what a new migration would have to do."""
    with engine.connect() as connection:
        options = {"compare_type": True, "compare_server_default": True}
        context = MigrationContext.configure(connection, opts=options)
        found: list[Any] = compare_metadata(context, METADATA)
        return found


def test_nothing_is_left_for_a_new_migration(engine: Engine) -> None:
    assert differences(engine) == []


def test_each_constraint_of_the_tables_is_in_the_database(engine: Engine) -> None:
    # The comparison above does not look at checks.
    seen = inspect(engine)
    for table in METADATA.sorted_tables:
        made = {check["name"] for check in seen.get_check_constraints(table.name)}
        checks = {str(one.name) for one in table.constraints if isinstance(one, CheckConstraint)}
        assert made == checks


def test_a_server_has_the_same_tables(postgresql: str) -> None:
    engine = units.engine_for(postgresql)
    migrate.upgrade(engine)
    assert differences(engine) == []
    with units.read(engine) as session:
        assert revision.current(session.connection()) == revision.head()
    engine.dispose()


def test_a_second_run_changes_nothing(tmp_path: Path) -> None:
    engine = units.engine_for(f"sqlite:///{tmp_path / 'kitlore.db'}")
    migrate.upgrade(engine)
    with engine.connect() as connection:
        before = connection.exec_driver_sql("SELECT sql FROM sqlite_master").all()
    migrate.upgrade(engine)
    with engine.connect() as connection:
        assert connection.exec_driver_sql("SELECT sql FROM sqlite_master").all() == before
    engine.dispose()


def test_a_migration_that_fails_leaves_the_base_as_it_was(tmp_path: Path) -> None:
    engine = units.engine_for(f"sqlite:///{tmp_path / 'kitlore.db'}")
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE spare (in_the_way INTEGER)")
    with pytest.raises(OperationalError, match="table spare already exists"):
        migrate.upgrade(engine)
    assert inspect(engine).get_table_names() == ["spare"]
    with engine.connect() as connection:
        # The connection goes back to the pool and must be as safe as before.
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    engine.dispose()


def test_a_migration_waits_for_no_writer_for_ever(opened: Opened) -> None:
    first, second = opened(), opened()
    with first.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE other (x INTEGER)")
        with pytest.raises(BusyError, match="Somebody else is writing"):
            migrate.upgrade(second)


def test_a_newer_base_is_not_migrated(opened: Opened) -> None:
    engine = opened()
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(StorageError, match="written by a newer kitlore"):
        migrate.upgrade(engine)
