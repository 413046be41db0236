import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from schemas import NEXT, PRESENT
from sqlalchemy import Engine
from sqlmodel import select

from kb.errors import StorageError
from kb.records import (
    backup,
    changes,
    checkup,
    opening,
    restoring,
    revision,
    session,
    workspace,
)
from kb.records.tables.gear import Item, Model
from kb.records.unit import Writer
from kb.records.workspace import Workspace

Rows = dict[str, list[tuple[object, ...]]]
ReadRows = Callable[[Path], Rows]
ReadFiles = Callable[[Path], dict[str, bytes]]


def _mark(database: Path) -> str:
    with closing(sqlite3.connect(database)) as connection:
        return str(connection.execute("SELECT mark FROM base").fetchone()[0])


def _change(studio: Workspace, writer: Writer) -> None:
    """Go on working after a backup: a row, a setting, an upload more and one less."""
    engine = opening.open_engine(studio)
    with session.begin(engine, writer) as unit:
        unit.add(Model(maker="Vellum", name="Later"))
    engine.dispose()
    settings = studio.folder / "kitlore.toml"
    settings.write_text(settings.read_text() + "# a remark\n")
    (studio.uploads / "later.jpg").write_bytes(b"later")
    (studio.uploads / "cable.jpg").unlink()


def test_a_new_folder_gets_every_row_and_file(
    studio: Workspace, at: datetime, tmp_path: Path, rows: ReadRows, files: ReadFiles
) -> None:
    made = backup.make(studio, at)
    assert restoring.restore(made, tmp_path / "deep" / "again", at) is None
    again = workspace.opened(tmp_path / "deep" / "again")
    assert rows(again.database) == rows(studio.database)
    assert files(again.uploads) == files(studio.uploads)
    assert again.settings == studio.settings
    assert not again.index.exists()
    assert checkup.check(again.folder) == ()


def test_a_restored_base_has_a_mark_of_its_own_so_that_an_index_starts_anew(
    studio: Workspace, at: datetime, tmp_path: Path
) -> None:
    with session.read(opening.open_engine(studio)) as unit:
        position = changes.since(unit, None).position
    restoring.restore(backup.make(studio, at), tmp_path / "again", at)
    with session.read(opening.open_engine(workspace.opened(tmp_path / "again"))) as unit:
        assert changes.since(unit, position).whole
    assert _mark(studio.database) == position.base


def test_over_a_workspace_everything_is_as_it_was_then(
    studio: Workspace, at: datetime, writer: Writer, rows: ReadRows, files: ReadFiles
) -> None:
    before, uploads = rows(studio.database), files(studio.uploads)
    settings, mark = (studio.folder / "kitlore.toml").read_bytes(), _mark(studio.database)
    made = backup.make(studio, at)
    _change(studio, writer)
    restoring.restore(made, studio.folder, at)
    assert rows(studio.database) == before
    assert files(studio.uploads) == uploads
    assert (studio.folder / "kitlore.toml").read_bytes() == settings
    assert _mark(studio.database) != mark
    assert not studio.index.exists()
    assert checkup.check(studio.folder) == ()


def test_what_stood_there_before_can_itself_be_brought_back(
    studio: Workspace, at: datetime, writer: Writer, rows: ReadRows, files: ReadFiles
) -> None:
    made = backup.make(studio, at)
    _change(studio, writer)
    changed, uploads = rows(studio.database), files(studio.uploads)
    replaced = restoring.restore(made, studio.folder, at)
    assert replaced
    kept = replaced.kept
    assert kept == studio.backups / "kitlore-2026-03-19-120000Z-before-restore.zip"
    restoring.restore(kept, studio.folder, at)
    assert rows(studio.database) == changed
    assert files(studio.uploads) == uploads


def test_who_has_the_base_open_sees_the_restored_one(
    studio: Workspace, at: datetime, writer: Writer, studio_engine: Engine
) -> None:
    made = backup.make(studio, at)
    with session.begin(studio_engine, writer) as unit:
        unit.scalars(select(Item)).one().name = "HD-99"
    restoring.restore(made, studio.folder, at)
    with session.begin(studio_engine, writer) as unit:
        assert unit.scalars(select(Item.name)).one() == "HD-01"
        unit.add(Model(maker="Vellum", name="Written after"))
    with session.read(opening.open_engine(studio)) as unit:
        assert "Written after" in unit.scalars(select(Model.name)).all()


def test_a_backup_of_a_newer_program_is_refused(
    studio: Workspace, at: datetime, newer_program: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opening.open_engine(studio).dispose()
    made = backup.make(studio, at)
    assert revision.head() == NEXT
    older = newer_program / "versions"
    (older / f"{NEXT}_a_column_more.py").unlink()
    revision._numbers.cache_clear()
    monkeypatch.setattr(revision, "MIGRATIONS", newer_program)
    with pytest.raises(
        StorageError,
        match=rf"newer kitlore \(schema {NEXT}; this program knows {PRESENT}",
    ):
        restoring.restore(made, studio.folder, at)


def test_a_backup_of_an_older_program_is_brought_up_to_date(
    studio: Workspace, at: datetime, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    made = backup.make(studio, at)
    request.getfixturevalue("newer_program")
    restoring.restore(made, tmp_path / "again", at)
    with closing(sqlite3.connect(tmp_path / "again" / "kitlore.db")) as connection:
        assert connection.execute("SELECT name, colour FROM item").fetchall() == [("HD-01", None)]
    assert checkup.check(tmp_path / "again") == ()


def _no_database(place: Workspace) -> None:
    place.database.write_bytes(b"\xff" * 40_000)


def _half(place: Workspace) -> None:
    place.database.write_bytes(place.database.read_bytes()[:100_000])


@pytest.mark.parametrize(
    "damage",
    [
        _no_database,
        _half,
        lambda place: place.database.unlink(),
        lambda place: place.database.write_bytes(b""),
        lambda place: (place.folder / "kitlore.toml").write_text("zone = 7"),
    ],
    ids=["no database", "half", "missing", "empty", "settings"],
)
def test_over_a_damaged_workspace_the_files_are_kept_as_they_were_found(
    studio: Workspace,
    at: datetime,
    rows: ReadRows,
    files: ReadFiles,
    damage: Callable[[Workspace], object],
) -> None:
    before = rows(studio.database)
    made = backup.make(studio, at)
    damage(studio)
    found = files(studio.folder)
    replaced = restoring.restore(made, studio.folder, at)
    assert replaced
    kept = replaced.kept
    assert kept == studio.backups / "as-found-2026-03-19-120000Z"
    assert files(kept) == {
        name: content
        for name, content in found.items()
        if not name.startswith(("backups/", "index/"))
    }
    assert rows(studio.database) == before
    assert checkup.check(studio.folder) == ()


def test_a_log_left_beside_a_lost_database_is_not_played_into_the_restored_one(
    studio: Workspace, at: datetime, rows: ReadRows
) -> None:
    before = rows(studio.database)
    made = backup.make(studio, at)
    with closing(sqlite3.connect(studio.database)) as other:
        other.execute("PRAGMA wal_autocheckpoint=0")
        with other:
            other.execute("UPDATE item SET name = 'from the old log'")
        log = studio.database.with_name("kitlore.db-wal").read_bytes()
    for spoil in (_no_database, lambda place: place.database.unlink()):
        spoil(studio)
        studio.database.with_name("kitlore.db-wal").write_bytes(log)
        restoring.restore(made, studio.folder, at)
        assert rows(studio.database) == before


@pytest.mark.slow
def test_a_base_goes_to_a_server_and_back(
    studio: Workspace, at: datetime, tmp_path: Path, server_database: str, rows: ReadRows
) -> None:
    there = tmp_path / "there"
    restoring.restore(backup.make(studio, at), there, at, server_database)
    place = workspace.opened(there)
    assert place.settings.database == server_database
    assert place.settings.zone == studio.settings.zone
    assert not place.database.exists()
    assert sorted(p.name for p in place.uploads.iterdir()) == ["2026", "cable.jpg"]
    restoring.restore(backup.make(place, at), tmp_path / "back", at)
    back = workspace.opened(tmp_path / "back")
    assert rows(back.database) == rows(studio.database)
    assert back.settings == studio.settings


@pytest.mark.slow
def test_a_server_numbers_on_behind_the_restored_rows(
    studio: Workspace, at: datetime, tmp_path: Path, server_database: str, writer: Writer
) -> None:
    restoring.restore(backup.make(studio, at), tmp_path / "there", at, server_database)
    engine = opening.open_engine(workspace.opened(tmp_path / "there"))
    with session.begin(engine, writer) as unit:
        later = Model(maker="Vellum", name="Later")
        unit.add(later)
        unit.flush()
        assert later.key == 3
        assert unit.scalars(select(Model.merged_into_id).where(Model.id == 1)).one() == 2
    with session.read(engine) as unit:
        feed = changes.since(unit, None)
        assert feed.whole
        assert len(feed.position.taken) <= 1
    engine.dispose()


@pytest.mark.slow
def test_a_base_on_a_server_is_never_written_over(
    server_studio: Workspace, at: datetime, tmp_path: Path
) -> None:
    made = backup.make(server_studio, at)
    with pytest.raises(StorageError, match=r"never written over. Restore into a new folder"):
        restoring.restore(made, server_studio.folder, at)
    url = server_studio.settings.database
    with pytest.raises(StorageError, match="isn't empty"):
        restoring.restore(made, tmp_path / "new", at, url)
    assert not (tmp_path / "new").exists()
    engine = opening.open_engine(server_studio)
    with session.read(engine) as unit:
        assert unit.scalars(select(Item.name)).one() == "HD-01"
    engine.dispose()
