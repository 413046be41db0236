"""Full, read-only, locked, damaged: an exit code and a sentence each, nothing half-written."""

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from calls import Result, called

Copy = Callable[[Path], Path]

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
MOUNT = shutil.which("mount")
Studio = Path


def rows(database: Path) -> list[str]:
    """Return all that a base holds, as SQL."""
    with closing(sqlite3.connect(database)) as connection:
        return list(connection.iterdump())


def refused(result: Result, code: int = 3) -> str:
    """Return the sentence of a call that was refused."""
    assert (result.code, result.out) == (code, ""), result
    assert "Traceback" not in result.err
    assert result.err.strip().endswith("."), result.err
    return result.err


@pytest.fixture
def studio(demo_copy: Copy, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the invented studio, chosen by the environment."""
    folder = demo_copy(tmp_path / "studio")
    monkeypatch.setenv("KITLORE_WORKSPACE", str(folder))
    monkeypatch.setenv("KITLORE_BY", "J.P.")
    monkeypatch.setenv("HOME", str(tmp_path))
    yield folder
    for log in (folder / "kitlore.log", tmp_path / "kitlore.log"):
        assert not log.exists(), log.read_text()


@contextmanager
def mounted(place: Path, *options: str) -> Iterator[Path]:
    """Mount something on a folder, where the machine lets us."""
    if MOUNT is None or os.geteuid() != 0:
        pytest.skip("only root can mount")
    place.mkdir(exist_ok=True)
    done = subprocess.run([MOUNT, *options, place], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"mounting is refused here: {done.stderr.strip()}")
    try:
        yield place
    finally:
        # Lazily: a command that failed in this process may hold a file still.
        subprocess.run(["umount", "-l", place], check=True)  # noqa: S607 - beside mount


@pytest.fixture
def tiny(tmp_path: Path) -> Iterator[Path]:
    """A disk of one megabyte."""
    with mounted(tmp_path / "tiny", "-t", "tmpfs", "-o", "size=1m", "tmpfs") as place:
        yield place


def everything(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*"))


@pytest.mark.parametrize("words", [("init",), ("demo", "--no-serve")], ids=" ".join)
def test_a_disk_too_small_for_a_workspace_gets_none(tiny: Path, words: tuple[str, ...]) -> None:
    told = refused(called(*words, tiny / "studio"))
    assert "room" in told or "full" in told.lower() or "space" in told.lower(), told
    assert everything(tiny) == []


def test_a_backup_that_has_no_room_leaves_none(studio: Path, tiny: Path) -> None:
    before = rows(studio / "kitlore.db")
    told = refused(called("backup", "--to", tiny / "copy.zip"))
    assert "room" in told or "space" in told.lower(), told
    assert everything(tiny) == []
    assert rows(studio / "kitlore.db") == before


def test_labels_that_have_no_room_leave_none(studio: Path, tiny: Path) -> None:
    (tiny / "filler").write_bytes(bytes(1024 * 1000))
    refused(called("label", "--all", "--out", tiny / "labels.pdf"))
    assert [path.name for path in everything(tiny)] == ["filler"]
    assert studio.is_dir()


def test_an_export_that_has_no_room_writes_whole_files_or_none(studio: Path, tiny: Path) -> None:
    (tiny / "filler").write_bytes(bytes(1024 * 900))
    refused(called("entries", "export", tiny / "entries"))
    assert studio.is_dir()
    for path in (tiny / "entries").iterdir():
        assert path.suffix == ".md"
        assert path.read_text(encoding="utf-8").endswith("\n")


@pytest.fixture
def full(demo_copy: Copy, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The invented studio on a disk that is full to the last byte."""
    with mounted(tmp_path / "disk", "-t", "tmpfs", "-o", "size=12m", "tmpfs") as disk:
        folder = demo_copy(disk / "studio")
        monkeypatch.setenv("KITLORE_WORKSPACE", str(folder))
        monkeypatch.setenv("KITLORE_BY", "J.P.")
        _fill(disk / "filler")
        yield folder


def _fill(path: Path) -> None:
    with path.open("wb", buffering=0) as file:
        for size in (65_536, 4_096, 1):
            try:
                while file.write(bytes(size)):
                    pass
            except OSError:
                continue


def test_on_a_full_disk_nothing_is_logged_until_there_is_room(full: Path) -> None:
    before = (full / "kitlore.db").read_bytes()
    told = refused(called("log", "CC-05", "green all over"))
    assert "Nothing was changed" in told
    (full.parent / "filler").unlink()
    assert (full / "kitlore.db").read_bytes() == before
    assert called("log", "CC-05", "green all over").code == 0
    assert called("check").code == 0


def test_on_a_full_disk_a_search_still_answers(full: Path) -> None:
    assert "Wrong colours" in called("find", "everything looks pink").out
    (full.parent / "filler").unlink()
    assert called("check").code == 0


def test_on_a_full_disk_without_an_index_nothing_found_is_not_said(full: Path) -> None:
    shutil.rmtree(full / "index")
    _fill(full.parent / "more")
    assert "full" in refused(called("find", "everything looks pink"))
    (full.parent / "filler").unlink()
    assert called("find", "everything looks pink").code == 0


@pytest.fixture
def read_only(studio: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The invented studio where nothing can be written."""
    place = tmp_path / "read-only"
    with mounted(place, "--bind", str(studio)):
        subprocess.run([str(MOUNT), "-o", "remount,ro,bind", place], check=True)
        monkeypatch.setenv("KITLORE_WORKSPACE", str(place))
        yield place


WRITES: dict[str, tuple[str, ...]] = {
    "log": ("log", "CC-05", "green all over"),
    "person": ("person", "add", "X.Y."),
    "item": ("item", "add", "CC-09"),
    "withdraw": ("entries", "withdraw", "audio-hum"),
    "settings": ("settings", "minute_cost=1"),
    "backup": ("backup",),
}


@pytest.mark.parametrize("words", WRITES.values(), ids=WRITES.keys())
def test_where_nothing_can_be_written_it_says_so(
    read_only: Path, studio: Path, words: tuple[str, ...]
) -> None:
    refused(called(*words))
    assert read_only.is_dir()
    assert called("-w", studio, "check").code == 0


def test_where_nothing_can_be_written_a_search_still_answers(read_only: Path) -> None:
    assert read_only.is_dir()
    assert "Wrong colours" in called("find", "everything looks pink").out
    found_nothing = called("find", "qqqqq")
    assert (found_nothing.code, found_nothing.err) == (1, "")


def test_a_folder_in_which_nothing_can_be_made_gets_no_workspace(read_only: Path) -> None:
    refused(called("init", read_only / "new"))
    refused(called("demo", read_only / "new", "--no-serve"))


HOLD = """
import sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("BEGIN IMMEDIATE")
connection.execute("UPDATE item SET note = 'half done'")
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def held(studio: Path) -> Iterator[Path]:
    """The invented studio while another program is in the middle of writing to it."""
    call = [sys.executable, "-c", HOLD, str(studio / "kitlore.db")]
    pipe = subprocess.PIPE
    with subprocess.Popen(call, stdin=pipe, stdout=pipe, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        yield studio
        process.kill()


def test_while_another_writes_a_writer_is_told_to_try_again(held: Path) -> None:
    before = rows(held / "kitlore.db")
    assert "Try again." in refused(called("log", "CC-05", "green all over"))
    assert rows(held / "kitlore.db") == before


def test_while_another_writes_everything_can_be_read(held: Path) -> None:
    assert held.is_dir()
    for words in (("find", "pink"), ("fault", "list"), ("review", "models"), ("check",)):
        assert called(*words).code == 0, words


def _cut(database: Path) -> None:
    os.truncate(database, database.stat().st_size // 2)


def _emptied(database: Path) -> None:
    database.write_bytes(b"")


def _noise(database: Path) -> None:
    database.write_bytes(bytes(range(256)) * 4096)


def _one_page(database: Path) -> None:
    with database.open("r+b") as file:
        file.seek(4096 * 3)
        file.write(b"\xff" * 4096 * 40)


def _gone(database: Path) -> None:
    database.unlink()


DAMAGE: list[Callable[[Path], None]] = [_cut, _emptied, _noise, _one_page, _gone]


@pytest.mark.parametrize("damage", DAMAGE, ids=lambda one: one.__name__.strip("_"))
def test_a_damaged_base_is_told_and_left_as_it_is(
    studio: Path, damage: Callable[[Path], None]
) -> None:
    database = studio / "kitlore.db"
    damage(database)
    content = database.read_bytes() if database.exists() else None
    for words in (("log", "CC-05", "green"), ("fault", "list"), ("find", "pink")):
        told = refused(called(*words))
        assert str(studio) in told
        assert "restore" in told or "backup" in told
    checked = called("check")
    assert checked.code == 1
    assert "Traceback" not in checked.err + checked.out
    # The engine gives a file without a byte its heading; there is nothing in it to lose.
    if content != b"":
        assert (database.read_bytes() if database.exists() else None) == content


def test_a_base_of_a_newer_program_is_left_alone(studio: Path) -> None:
    with closing(sqlite3.connect(studio / "kitlore.db")) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    before = rows(studio / "kitlore.db")
    for words in (("log", "CC-05", "green"), ("fault", "list"), ("entries", "starter")):
        assert "newer kitlore (schema 9999" in refused(called(*words))
    assert rows(studio / "kitlore.db") == before
