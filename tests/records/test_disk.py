from pathlib import Path

import pytest

from kb.errors import StorageError
from kb.records import disk


def test_what_the_system_refuses_becomes_a_sentence(tmp_path: Path) -> None:
    with (
        pytest.raises(StorageError) as caught,
        disk.refusals(tmp_path / "x", "read"),
    ):
        (tmp_path / "x").read_bytes()
    assert caught.value.path == tmp_path / "x"
    assert caught.value.message == (
        f"{tmp_path / 'x'} can't be read: No such file or directory. Nothing was changed. Look at "
        "the disk and the folder's permissions, or name another place."
    )


def test_a_staging_folder_is_gone_after_success_and_failure(tmp_path: Path) -> None:
    with disk.staging(tmp_path / "new") as folder:
        (folder / "x").write_text("x")
        assert disk.leftovers(tmp_path / "new") == (folder,)
    with pytest.raises(RuntimeError), disk.staging(tmp_path):
        raise RuntimeError
    assert disk.leftovers(tmp_path / "new") == disk.leftovers(tmp_path) == ()


def test_a_path_that_nothing_has_is_found(tmp_path: Path) -> None:
    for name in ("a.zip", "a-2.zip", "a-3.zip"):
        found = disk.free_path(tmp_path, "a", ".zip")
        assert found == tmp_path / name
        found.touch()


def test_room_is_wanted_with_some_to_spare(tmp_path: Path) -> None:
    disk.require_room(tmp_path, 1)
    with pytest.raises(StorageError, match=r"1,000,000,016.8 MB are needed"):
        disk.require_room(tmp_path, 10**15)
