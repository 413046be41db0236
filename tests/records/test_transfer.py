import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlmodel import select

from kb.records import archive, backup, creating, migrate, session, transfer
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model
from kb.records.tables.journal import History
from kb.records.workspace import Workspace

pytestmark = pytest.mark.slow


def test_a_copy_off_a_server_means_the_same(
    server_studio: Workspace, studio: Workspace, at: datetime, tmp_path: Path
) -> None:
    archive.unpack(backup.make(server_studio, at), tmp_path / "copy")
    seen = []
    for url in (server_studio.url, studio.url, f"sqlite:///{tmp_path / 'copy' / 'kitlore.db'}"):
        engine = session.engine_for(url)
        with session.read(engine) as unit:
            seen.append(
                [
                    [row.model_dump() for row in unit.scalars(select(table).order_by(text("id")))]
                    for table in (Model, Item, Fault, History)
                ],
            )
        engine.dispose()
    assert seen[0] == seen[1] == seen[2]
    assert seen[2][2][0]["noticed_at"] == at


def test_every_row_is_copied_and_the_numbers_of_transactions_are_not(
    server_studio: Workspace,
    studio: Workspace,
    at: datetime,
    tmp_path: Path,
    rows: Callable[[Path], dict[str, list[tuple[object, ...]]]],
) -> None:
    archive.unpack(backup.make(server_studio, at), tmp_path / "copy")
    assert rows(tmp_path / "copy" / archive.DATABASE) == rows(studio.database)


def test_foreign_keys_bind_again_after_a_copy_to_a_server(
    studio: Workspace, server_database: str
) -> None:
    target, source = session.engine_for(server_database), session.engine_for(studio.url)
    migrate.upgrade(target)
    with source.connect() as read, target.begin() as write:
        assert transfer.copy_rows(read, write) == sum(
            _count(studio.database, table) for table in _tables(studio.database)
        )
    with target.connect() as connection:
        assert (
            connection.execute(
                text("SELECT count(*) FROM pg_constraint WHERE contype = 'f' AND condeferrable"),
            ).scalar()
            == 0
        )
        with pytest.raises(Exception, match="violates foreign key constraint"):
            connection.execute(text("UPDATE attempt SET fault_id = 77"))
    target.dispose()


def test_rows_that_name_nothing_do_not_reach_a_server(
    studio: Workspace, server_database: str
) -> None:
    with closing(sqlite3.connect(studio.database)) as connection, connection:
        connection.execute("UPDATE attempt SET fault_id = 77")
    source = session.engine_for(studio.url)

    def move() -> None:
        with creating.emptied_on_failure(server_database) as target:
            migrate.upgrade(target)
            with source.connect() as read, target.begin() as write:
                transfer.copy_rows(read, write)

    with pytest.raises(Exception, match="violates foreign key constraint"):
        move()
    with creating.emptied_on_failure(server_database) as target:
        assert target.dialect.name == "postgresql"


def _tables(database: Path) -> list[str]:
    with closing(sqlite3.connect(database)) as connection:
        found = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        return [name for (name,) in found if name not in ("alembic_version", "sqlite_sequence")]


def _count(database: Path, table: str) -> int:
    with closing(sqlite3.connect(database)) as connection:
        return int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])  # noqa: S608
