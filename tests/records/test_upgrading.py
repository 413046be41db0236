import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from zipfile import ZipFile

import pytest
from schemas import LATER, NEXT, PRESENT
from sqlmodel import text

from kb.errors import BusyError, StorageError
from kb.records import archive, backup, revision, serving, session, upgrading
from kb.records.workspace import Workspace

_BREAKS_HALFWAY = """
revision = "LATER"
down_revision = "NEXT"
branch_labels = None
depends_on = None

def upgrade():
    op.create_table("half_made", sa.Column("id", sa.Integer(), primary_key=True))
    op.execute("INSERT INTO half_made VALUES (1)")
    op.execute("this is no SQL")
"""


def _schema(database: Path) -> tuple[str, ...]:
    with closing(sqlite3.connect(database)) as connection:
        return tuple(
            str(row[0])
            for row in connection.execute(
                "SELECT version_num FROM alembic_version "
                "UNION ALL SELECT name FROM pragma_table_info('item')",
            )
        )


@pytest.mark.usefixtures("newer_program")
def test_the_older_base_is_copied_first_and_keeps_its_rows(
    studio: Workspace, at: datetime, rows: Callable[[Path], dict[str, object]], tmp_path: Path
) -> None:
    before = rows(studio.database)
    kept = upgrading.bring_up(studio, session.engine_for(studio.url), at)
    assert _schema(studio.database)[0] == NEXT
    assert "colour" in _schema(studio.database)
    assert kept == studio.backups / f"kitlore-2026-03-19-120000Z-before-schema-{NEXT}.zip"
    archive.unpack(kept, tmp_path / "older")
    assert rows(tmp_path / "older" / archive.DATABASE) == before
    after = rows(studio.database)
    assert after["fault"] == before["fault"]
    assert after["history"] == before["history"]


@pytest.mark.usefixtures("newer_program")
def test_a_running_serve_is_named_and_nothing_is_done(studio: Workspace, at: datetime) -> None:
    engine = session.engine_for(studio.url)
    with (
        serving.announced(studio, PRESENT, 8017, at) as running,
        pytest.raises(BusyError) as caught,
    ):
        upgrading.bring_up(studio, engine, at)
    assert caught.value.message == (
        f"'kitlore serve' {running.version} (process {running.pid}, port 8017, since 2026-03-19 "
        "12:00) still works on this workspace. This program has to bring the base to schema "
        f"{NEXT} first. Stop that one, then try again."
    )
    assert _schema(studio.database)[0] == PRESENT
    assert list(studio.backups.iterdir()) == []


def test_a_migration_that_fails_leaves_the_base_as_it_was(
    studio: Workspace, at: datetime, newer_program: Path
) -> None:
    second = (newer_program / "versions" / f"{NEXT}_a_column_more.py").read_text()
    head = second[: second.index("revision =")]
    (newer_program / "versions" / f"{LATER}_breaks.py").write_text(
        head + _BREAKS_HALFWAY.replace("LATER", LATER).replace("NEXT", NEXT)
    )
    before = _schema(studio.database)
    with pytest.raises(Exception, match="syntax error"):
        upgrading.bring_up(studio, session.engine_for(studio.url), at)
    assert _schema(studio.database) == before
    with session.engine_for(studio.url).connect() as connection:
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []


@pytest.mark.usefixtures("newer_program")
def test_without_a_copy_nothing_is_migrated(
    studio: Workspace, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_given: object, **_more: object) -> Path:
        raise StorageError("There is no room left.")

    monkeypatch.setattr(backup, "make", full)
    with pytest.raises(StorageError, match="no room"):
        upgrading.bring_up(studio, session.engine_for(studio.url), at)
    assert _schema(studio.database)[0] == PRESENT


def test_a_newer_base_is_not_touched(studio: Workspace, at: datetime) -> None:
    with closing(sqlite3.connect(studio.database)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(StorageError, match="newer kitlore"):
        upgrading.bring_up(studio, session.engine_for(studio.url), at)
    assert list(studio.backups.iterdir()) == []


@pytest.mark.slow
def test_an_older_base_on_a_server_is_copied_and_brought_up(
    server_studio: Workspace, at: datetime, newer_program: Path, tmp_path: Path
) -> None:
    assert revision.head() == NEXT, newer_program
    engine = session.engine_for(server_studio.url)
    kept = upgrading.bring_up(server_studio, engine, at)
    with engine.connect() as connection:
        assert revision.current(connection) == NEXT
        assert connection.execute(text("SELECT colour FROM item")).all() == [(None,)]
    engine.dispose()
    archive.unpack(kept, tmp_path / "older")
    assert _schema(tmp_path / "older" / archive.DATABASE)[0] == PRESENT
    with ZipFile(kept) as packed:
        assert b"hush" not in packed.read(archive.SETTINGS)
