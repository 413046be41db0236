# mypy: disallow-untyped-calls=False
import errno
import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from whoosh.util.filelock import FileLock

from kb.search import index, query, state
from kb.search.documents import Document

Make = Callable[..., Document]


@pytest.fixture
def built(folder: Path, make: Make) -> Path:
    """An index of three entries, the third added later."""
    found = [make("entry", "hum", "Loud hum"), make("entry", "echo", "Late echo")]
    index.rebuild(folder, "entries", found, until="1")
    index.apply(folder, "entries", [make("entry", "dark", "Dark")], [], since="1", until="2")
    return folder


def keys(folder: Path, text: str) -> list[str]:
    return [hit.key for hit in query.search(folder, text).hits]


def test_what_is_applied_is_found_and_the_position_told(built: Path, make: Make) -> None:
    assert index.position(built, "entries") == "2"
    assert keys(built, "dark") == ["dark"]

    changed = [make("entry", "hum", "Buzz")]
    assert (
        index.apply(built, "entries", changed, [("entry", "echo")], since="2", until="3") == "done"
    )

    assert index.position(built, "entries") == "3"
    assert (keys(built, "buzz"), keys(built, "loud"), keys(built, "echo")) == (["hum"], [], [])


def test_files_reach_the_disk_before_what_names_them(
    built: Path, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[int] = []
    sync = os.fsync

    def recorded(descriptor: int) -> None:
        synced.append(os.fstat(descriptor).st_ino)
        sync(descriptor)

    monkeypatch.setattr(os, "fsync", recorded)
    index.apply(built, "entries", [make("entry", "b", "Buzz")], [], since="2", until="3")

    newest = max(built.glob("*.seg"), key=lambda path: path.stat().st_mtime_ns)
    (contents,) = built.glob("*.toc")
    order = [path.stat().st_ino for path in (newest, contents, built / "entries.json")]
    assert [inode for inode in synced if inode in order] == order


def test_the_two_indexes_of_a_folder_are_apart(built: Path, make: Make) -> None:
    assert index.position(built, "records") is None
    index.rebuild(built, "records", [make("fault", "7", "Hum again")], until="9")

    assert (index.position(built, "entries"), index.position(built, "records")) == ("2", "9")
    assert keys(built, "hum") == ["hum", "7"]


def test_changes_from_elsewhere_than_the_position_are_refused(built: Path, make: Make) -> None:
    stale = [make("entry", "hum", "Stale")]

    assert index.apply(built, "entries", stale, [], since="1", until="5") == "moved"
    assert index.apply(built, "records", stale, [], since="2", until="5") == "moved"
    assert (keys(built, "stale"), index.position(built, "entries")) == ([], "2")


def test_a_kill_before_the_position_means_the_same_changes_again(
    built: Path, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh, gone = [make("entry", "buzz", "Buzz")], [("entry", "echo")]
    with monkeypatch.context() as killed:
        killed.setattr(state, "write", lambda *_: None)
        index.apply(built, "entries", fresh, gone, since="2", until="3")
    assert index.position(built, "entries") == "2"
    before = query.search(built, "buzz").hits

    assert index.apply(built, "entries", fresh, gone, since="2", until="3") == "done"

    assert [hit.key for hit in query.search(built, "buzz").hits] == [hit.key for hit in before]
    assert index.position(built, "entries") == "3"


def test_a_kill_before_the_first_position_means_there_is_no_index(
    folder: Path, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as killed:
        killed.setattr(state, "write", lambda *_: None)
        index.rebuild(folder, "entries", [make("entry", "hum", "Hum")], until="1")

    assert index.position(folder, "entries") is None
    assert query.search(folder, "hum").missing == ("entries", "records")


def test_building_anew_leaves_nothing_of_the_old(built: Path, make: Make) -> None:
    index.rebuild(built, "entries", [make("entry", "new", "New")], until="7")

    assert (keys(built, "hum echo dark"), keys(built, "new")) == ([], ["new"])
    assert len(state.files(built, "entries")) == 2


def test_many_small_commits_leave_few_segments_and_every_document(
    folder: Path, make: Make
) -> None:
    index.rebuild(folder, "entries", [], until="0")
    for turn in range(40):
        page = make("entry", f"e{turn % 9}", f"hum turn{turn}x")
        index.apply(folder, "entries", [page], [], since=str(turn), until=str(turn + 1))

    assert len([name for name in state.files(folder, "entries") if name.endswith(".seg")]) <= 6
    titles = {hit.title for hit in query.search(folder, "hum").hits}
    assert titles == {f"hum turn{turn}x" for turn in range(31, 40)}


def test_a_segment_whose_documents_are_all_gone_is_dropped(built: Path) -> None:
    gone = [("entry", key) for key in ("hum", "echo", "dark")]

    index.apply(built, "entries", [], gone, since="2", until="3")

    assert [name for name in state.files(built, "entries") if name.endswith(".seg")] == []
    assert keys(built, "hum echo dark") == []


def heals(folder: Path, make: Make) -> bool:
    """Return whether the entries count as absent, raise nothing, and are back when built."""
    absent = index.position(folder, "entries") is None
    quiet = query.search(folder, "hum").missing == ("entries", "records")
    index.rebuild(folder, "entries", [make("entry", "hum", "Hum")], until="9")
    return absent and quiet and keys(folder, "hum") == ["hum"]


def test_a_deleted_folder_heals(built: Path, make: Make) -> None:
    shutil.rmtree(built)

    assert heals(built, make)


@pytest.mark.parametrize("kept", [0.0, 0.02, 0.3, 0.6, 0.99])
@pytest.mark.parametrize("ending", [".toc", ".seg", ".json"])
def test_a_file_cut_short_heals(built: Path, make: Make, ending: str, kept: float) -> None:
    for path in built.glob(f"*{ending}"):
        os.truncate(path, int(kept * path.stat().st_size))

    assert heals(built, make)


@pytest.mark.parametrize("ending", [".toc", ".seg"])
def test_a_file_cut_short_after_a_kill_heals(
    built: Path, make: Make, monkeypatch: pytest.MonkeyPatch, ending: str
) -> None:
    with monkeypatch.context() as killed:
        killed.setattr(state, "write", lambda *_: None)
        index.apply(built, "entries", [make("entry", "b", "Buzz")], [], since="2", until="3")
    for path in built.glob(f"*{ending}"):
        os.truncate(path, path.stat().st_size // 2)

    assert heals(built, make)


@pytest.mark.parametrize("ending", [".toc", ".seg"])
def test_a_file_of_noughts_is_found_damaged_when_read(
    built: Path, make: Make, ending: str
) -> None:
    for path in built.glob(f"*{ending}"):
        path.write_bytes(bytes(path.stat().st_size))
    assert query.search(built, "hum").missing == ("entries", "records")

    assert heals(built, make)


def test_damage_found_while_applying_is_no_error(built: Path, make: Make) -> None:
    for path in built.glob("*.seg"):
        path.write_bytes(bytes(path.stat().st_size))

    assert index.apply(built, "entries", [], [("entry", "hum")], since="2", until="3") == "moved"
    assert heals(built, make)


def test_an_index_of_another_format_heals(built: Path, make: Make) -> None:
    kept = json.loads((built / "entries.json").read_text())
    (built / "entries.json").write_text(json.dumps(kept | {"format": state.FORMAT + 1}))

    assert heals(built, make)


def test_a_search_goes_on_while_another_process_is_indexing(
    built: Path, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(index, "WAIT", 0.0)
    lock = FileLock(str(built / "entries.lock"))
    assert lock.acquire()
    fresh = [make("entry", "b", "Buzz")]
    assert index.apply(built, "entries", fresh, [], since="2", until="3") == "busy"
    assert index.rebuild(built, "entries", fresh, until="3") == "busy"
    assert keys(built, "hum") == ["hum"]
    lock.release()

    assert index.apply(built, "entries", fresh, [], since="2", until="3") == "done"


def test_a_full_disk_leaves_what_was_there(
    built: Path, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    fresh = [make("entry", "b", "Buzz")]
    with monkeypatch.context() as disk:
        disk.setattr(os, "fsync", full)
        assert index.apply(built, "entries", fresh, [], since="2", until="3") == "unwritable"
    assert (index.position(built, "entries"), keys(built, "hum")) == ("2", ["hum"])

    assert index.apply(built, "entries", fresh, [], since="2", until="3") == "done"
    assert keys(built, "buzz") == ["b"]


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    assert index.rebuild(tmp_path / "file" / "index", "entries", [], until="1") == "unwritable"
    assert index.position(tmp_path / "file" / "index", "entries") is None
