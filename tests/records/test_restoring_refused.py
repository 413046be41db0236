import resource
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from zipfile import ZipFile

import pytest

from kb.errors import BusyError, InvalidError, KitloreError, NotFoundError, StorageError
from kb.records import (
    archive,
    backup,
    disk,
    opening,
    restoring,
    serving,
    session,
)
from kb.records.tables.gear import Model
from kb.records.unit import Writer
from kb.records.workspace import Workspace

Rows = dict[str, list[tuple[object, ...]]]
ReadRows = Callable[[Path], Rows]
ReadFiles = Callable[[Path], dict[str, bytes]]


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


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-300])


def _flip(path: Path) -> None:
    raw = bytearray(path.read_bytes())
    raw[raw.index(bytes(range(256))) + 99] ^= 0x10  # in a picture, which lies there unpacked
    path.write_bytes(raw)


def _swap(path: Path) -> None:
    with ZipFile(path, "w") as other:
        other.writestr("holiday.txt", "sun")


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _relist(path: Path, change: Callable[[Path], object]) -> None:
    """Pack the backup anew after a change of its parts, so that every digest is right."""
    folder = path.with_name("parts")
    about = archive.unpack(path, folder).about
    change(folder)
    names = [p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()]
    path.unlink()
    archive.pack(path, about, {name: folder / name for name in names})


def _sql(statement: str) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        with closing(sqlite3.connect(folder / archive.DATABASE)) as connection, connection:
            connection.execute("PRAGMA ignore_check_constraints=ON")
            connection.execute(statement)

    return lambda path: _relist(path, change)


def _write(name: str, content: bytes) -> Callable[[Path], None]:
    return lambda path: _relist(path, lambda folder: (folder / name).write_bytes(content))


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (_cut, "is damaged or no backup"),
        (_flip, "is damaged or no backup"),
        (_empty, "is damaged or no backup"),
        (_swap, "no backup that Kitlore made"),
        (Path.unlink, "No backup 'copy.zip'"),
        (_sql("UPDATE attempt SET fault_id = 77"), "1 row\\(s\\) of 'attempt' name a 'fault'"),
        (_sql("UPDATE item SET state = 'lost'"), "CHECK constraint failed in item"),
        (_sql("UPDATE base SET mark = 'x'"), "isn't the one that its manifest names"),
        (_sql("DROP TABLE base"), "The base is damaged, or none of Kitlore's"),
        (_write("kitlore.db", b"none"), "kitlore.db is damaged: file is not a database"),
        (_write("kitlore.toml", b"zone = 7\n"), "holds settings that can't be read"),
    ],
)
def test_a_file_that_is_no_good_changes_nothing(
    studio: Workspace,
    at: datetime,
    tmp_path: Path,
    files: ReadFiles,
    spoil: Callable[[Path], None],
    sentence: str,
) -> None:
    made = backup.make(studio, at, tmp_path / "copy.zip")
    spoil(made)
    before = files(studio.folder)
    for folder in (studio.folder, tmp_path / "new"):
        with pytest.raises((StorageError, InvalidError, NotFoundError), match=sentence):
            restoring.restore(made, folder, at)
    assert files(studio.folder) == before
    assert not (tmp_path / "new").exists()


def test_a_running_serve_is_not_restored_under(
    studio: Workspace, at: datetime, files: ReadFiles
) -> None:
    made = backup.make(studio, at)
    with serving.announced(studio, "0001", 8017, at):
        before = files(studio.folder)
        with pytest.raises(BusyError, match=r"port 8017.*Stop it, then try again"):
            restoring.restore(made, studio.folder, at)
        assert files(studio.folder) == before


def test_a_writer_at_work_is_waited_for_and_then_told(
    studio: Workspace, at: datetime, monkeypatch: pytest.MonkeyPatch, files: ReadFiles
) -> None:
    monkeypatch.setattr(backup, "PATIENCE_SECONDS", 0.1)
    monkeypatch.setattr(backup, "_STEP_SECONDS", 0.01)
    made = backup.make(studio, at)
    before = files(studio.folder)
    with closing(sqlite3.connect(studio.database, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE item SET name = 'half way'")
        with pytest.raises(BusyError):
            restoring.restore(made, studio.folder, at)
        other.execute("ROLLBACK")
    after = files(studio.folder)
    del after["backups/kitlore-2026-03-19-120000Z-before-restore.zip"]
    assert after == before


@pytest.mark.parametrize("limit", [100_000, 250_000, None])
def test_a_disk_that_fills_changes_nothing(
    studio: Workspace, at: datetime, tmp_path: Path, files: ReadFiles, limit: int | None
) -> None:
    """The system's own limit of a file's size stands in for a disk that fills."""
    if limit is None:  # what is unpacked fits, but not SQLite's log of writing it in place
        limit = studio.database.stat().st_size + 512
    made = backup.make(studio, at, tmp_path / "copy.zip")
    before = files(studio.folder)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, hard))
    try:
        with pytest.raises(StorageError, match="Nothing was changed"):
            restoring.restore(made, studio.folder, at)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    after = files(studio.folder)
    after.pop("backups/kitlore-2026-03-19-120000Z-before-restore.zip", None)
    assert after == before


@pytest.mark.parametrize("fails", ["uploads", "kitlore.toml", "kitlore.db"])
def test_a_failure_in_the_middle_puts_back_what_was_exchanged(
    studio: Workspace,
    at: datetime,
    writer: Writer,
    monkeypatch: pytest.MonkeyPatch,
    files: ReadFiles,
    fails: str,
) -> None:
    made = backup.make(studio, at)
    _change(studio, writer)
    before = files(studio.folder)
    replaced, connect = Path.replace, sqlite3.connect

    def replace(path: Path, to: Path) -> Path:
        if path.name == fails:
            raise OSError(5, "Input/output error")
        return replaced(path, to)

    def connecting(path: Path, *given: object, **more: object) -> sqlite3.Connection:
        if path == studio.database and fails == "kitlore.db":
            raise OSError(5, "Input/output error")
        return connect(path, *given, **more)  # type: ignore[call-overload, no-any-return]

    monkeypatch.setattr(Path, "replace", replace)
    monkeypatch.setattr(sqlite3, "connect", connecting)
    with pytest.raises(StorageError, match=r"Input/output error. Nothing was changed"):
        restoring.restore(made, studio.folder, at)
    after = files(studio.folder)
    del after["backups/kitlore-2026-03-19-120000Z-before-restore.zip"]
    assert after == before
    assert disk.leftovers(studio.folder) == ()


def test_a_folder_with_something_else_in_it_is_left_alone(
    studio: Workspace, at: datetime, tmp_path: Path
) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "thesis.txt").write_text("x")
    with pytest.raises(StorageError, match=r"isn't empty. Name a new or empty folder"):
        restoring.restore(backup.make(studio, at), tmp_path / "other", at)


@pytest.mark.slow
def test_a_file_that_is_no_good_leaves_a_server_empty(
    studio: Workspace, at: datetime, tmp_path: Path, server_database: str
) -> None:
    made = backup.make(studio, at, tmp_path / "copy.zip")
    _sql("UPDATE attempt SET fault_id = 77")(made)
    with pytest.raises(KitloreError):
        restoring.restore(made, tmp_path / "there", at, server_database)
    restoring.restore(backup.make(studio, at), tmp_path / "there", at, server_database)
