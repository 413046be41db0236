import os
import resource
import signal
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from zipfile import ZipFile

import pytest

from kb.errors import BusyError, StorageError
from kb.records import archive, backup, checkup, revision
from kb.records.archive import Manifest
from kb.records.workspace import Workspace

Rows = dict[str, list[tuple[object, ...]]]

_KILLED_WHILE_PACKING = """
import os, signal, sys
from datetime import datetime, UTC
from pathlib import Path
from kb.records import archive, backup, workspace

packed = archive.pack
def cut_off(to, about, files):
    packed(to, about, files)
    to.write_bytes(to.read_bytes()[:1000])
    os.kill(os.getpid(), signal.SIGKILL)
archive.pack = cut_off
backup.make(workspace.opened(Path(sys.argv[1])), datetime(2026, 3, 19, tzinfo=UTC))
"""


def _base(path: Path, into: Path) -> Path:
    archive.unpack(path, into)
    return into / archive.DATABASE


def test_a_backup_holds_every_row_and_file(
    studio: Workspace, at: datetime, rows: Callable[[Path], Rows], tmp_path: Path
) -> None:
    made = backup.make(studio, at)
    assert made == studio.backups / "kitlore-2026-03-19-120000Z.zip"
    assert rows(_base(made, tmp_path / "to")) == rows(studio.database)
    with ZipFile(made) as packed:
        assert set(packed.namelist()) == {
            "kitlore.db",
            "kitlore.toml",
            "manifest.json",
            "uploads/2026/Stecker größer.png",
            "uploads/cable.jpg",
        }
        assert packed.read("kitlore.toml") == (studio.folder / "kitlore.toml").read_bytes()
        manifest = Manifest.model_validate_json(packed.read("manifest.json"))
    assert manifest.about.schema_revision == revision.head()
    assert manifest.about.made == at


def test_half_written_and_foreign_files_stay_out(studio: Workspace, at: datetime) -> None:
    (studio.uploads / ".cable.jpg.part").write_bytes(b"half")
    (studio.uploads / "link").symlink_to("/etc/passwd")
    with ZipFile(backup.make(studio, at)) as packed:
        assert not [name for name in packed.namelist() if "part" in name or "link" in name]


def test_names_go_by_time_and_none_is_written_over(studio: Workspace, at: datetime) -> None:
    names = [backup.make(studio, at, occasion="before-restore").name for _ in range(3)]
    assert names == [
        "kitlore-2026-03-19-120000Z-before-restore.zip",
        "kitlore-2026-03-19-120000Z-before-restore-2.zip",
        "kitlore-2026-03-19-120000Z-before-restore-3.zip",
    ]


def test_a_file_or_a_folder_may_be_named(studio: Workspace, at: datetime, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    assert backup.make(studio, at, stick / "mine.zip") == stick / "mine.zip"
    assert backup.make(studio, at, stick) == stick / "kitlore-2026-03-19-120000Z.zip"
    with pytest.raises(StorageError, match=r"mine.zip is there already"):
        backup.make(studio, at, stick / "mine.zip")
    assert len(list(stick.iterdir())) == 2


def test_what_another_has_not_committed_is_not_in_it(
    studio: Workspace, at: datetime, rows: Callable[[Path], Rows], tmp_path: Path
) -> None:
    before = rows(studio.database)
    with closing(sqlite3.connect(studio.database)) as other:
        other.execute("UPDATE item SET name = 'half way'")
        made = backup.make(studio, at)
        other.commit()
    assert rows(_base(made, tmp_path / "to")) == before
    assert rows(studio.database)["item"] != before["item"]


def test_a_copy_made_while_others_write_is_one_moment(
    studio: Workspace, at: datetime, tmp_path: Path
) -> None:
    """Each transaction writes two rows; a copy of one moment never holds an odd one."""
    done = threading.Event()
    started = threading.Event()
    written = []

    def write() -> None:
        with closing(sqlite3.connect(studio.database)) as other:
            other.execute("PRAGMA synchronous=OFF")
            while not done.is_set():
                with other:
                    for _ in range(2):
                        other.execute("INSERT INTO change (kind, record_id) VALUES ('pair', 1)")
                written.append(2)
                started.set()

    thread = threading.Thread(target=write)
    thread.start()
    started.wait(10)
    try:
        copies = [_base(backup.make(studio, at), tmp_path / str(n)) for n in range(3)]
    finally:
        done.set()
        thread.join()
    counts: list[tuple[int]] = []
    for copy in copies:
        with closing(sqlite3.connect(copy)) as connection:
            counts += connection.execute("SELECT count(*) FROM change WHERE kind = 'pair'")
    numbers = [count for (count,) in counts]
    assert all(number > 0 and number % 2 == 0 for number in numbers)
    assert numbers == sorted(numbers)
    assert numbers[-1] <= sum(written)


@pytest.mark.parametrize("kept", [0, 0.3, 0.9])
def test_a_damaged_base_is_not_kept_as_a_backup(
    studio: Workspace, at: datetime, kept: float
) -> None:
    whole = studio.database.read_bytes()
    studio.database.write_bytes(whole[: int(len(whole) * kept)])
    with pytest.raises(StorageError, match="damaged"):
        backup.make(studio, at)
    assert list(studio.backups.iterdir()) == []


def test_a_base_whose_rows_name_nothing_is_told(studio: Workspace, at: datetime) -> None:
    with closing(sqlite3.connect(studio.database)) as connection, connection:
        connection.execute("UPDATE attempt SET fault_id = 77")
    with pytest.raises(StorageError, match="no backup was made of it: 1 row"):
        backup.make(studio, at)
    assert list(studio.backups.iterdir()) == []


@pytest.mark.parametrize("limit", [1000, 200_000, 350_000])
def test_a_full_disk_leaves_nothing_behind(studio: Workspace, at: datetime, limit: int) -> None:
    """The system's own limit of a file's size stands in for a disk that fills."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    studio.uploads.joinpath("big.jpg").write_bytes(os.urandom(400_000))
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, hard))
    try:
        with pytest.raises(StorageError, match="Nothing was changed"):
            backup.make(studio, at)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert list(studio.backups.iterdir()) == []


def test_a_base_that_somebody_holds_for_himself_is_busy(
    studio: Workspace, at: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "PATIENCE_SECONDS", 0.1)
    monkeypatch.setattr(backup, "_STEP_SECONDS", 0.01)
    with closing(sqlite3.connect(studio.database, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode=EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(BusyError):
            backup.make(studio, at)
    assert list(studio.backups.iterdir()) == []


@pytest.mark.slow
def test_one_that_is_killed_leaves_no_file_that_looks_whole(studio: Workspace) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", _KILLED_WHILE_PACKING, studio.folder], check=False
    )
    assert ended.returncode == -signal.SIGKILL
    (left,) = studio.backups.iterdir()
    assert left.name.startswith(".")
    (finding,) = checkup.check(studio.folder)
    assert str(left) in finding.sentence
    assert not finding.damage
