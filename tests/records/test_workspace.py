"""A workspace is found, and made whole or not at all."""

import errno
import os
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from kb.errors import InvalidError, NotFoundError, StorageError
from kb.records import settings, workspace
from kb.records.settings import Settings
from kb.records.workspace import Workspace


@pytest.fixture
def made(tmp_path: Path) -> Workspace:
    with workspace.building(tmp_path / "studio", Settings(zone="Europe/London")):
        pass
    return workspace.opened(tmp_path / "studio")


def test_everything_has_its_place_in_the_folder(made: Workspace) -> None:
    folder = made.folder
    assert made.settings.zone == "Europe/London"
    assert made.url == f"sqlite:///{folder / 'kitlore.db'}"
    assert (made.index, made.log) == (folder / "index", folder / "kitlore.log")
    assert made.uploads.is_dir()
    assert made.backups.is_dir()


def test_a_base_on_a_server_is_reached_by_its_url(tmp_path: Path) -> None:
    there = Settings(database="postgresql+psycopg://crew@base/kitlore")
    assert Workspace(tmp_path, there).url == "postgresql+psycopg://crew@base/kitlore"


def test_the_workspace_named_goes_before_the_variables_and_that_before_the_nearest(
    tmp_path: Path,
) -> None:
    for name in ("named", "variable", "nearest"):
        with workspace.building(tmp_path / name, Settings()):
            pass
    below = tmp_path / "nearest" / "uploads"
    variable = {workspace.VARIABLE: str(tmp_path / "variable")}
    found = [
        workspace.located(tmp_path / "named", below, variable),
        workspace.located(None, below, variable),
        workspace.located(None, below, {workspace.VARIABLE: ""}),
    ]
    assert [folder.name for folder in found] == ["named", "variable", "nearest"]


def test_where_there_is_none_it_is_told(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="Name one with -w DIR or KITLORE_WORKSPACE"):
        workspace.located(None, tmp_path, {})
    with pytest.raises(NotFoundError, match="Make one there with 'kitlore init'"):
        workspace.opened(tmp_path)
    with pytest.raises(NotFoundError, match="Make one there with 'kitlore init'"):
        workspace.located(tmp_path, tmp_path, {})


def test_wrong_settings_are_told_when_it_is_opened(made: Workspace) -> None:
    (made.folder / settings.FILE).write_text('zone = "Mars/Olympus"')
    with pytest.raises(InvalidError, match="Mars/Olympus"):
        workspace.opened(made.folder)


def test_a_failure_while_it_is_made_leaves_nothing(tmp_path: Path) -> None:
    def fail() -> None:
        with workspace.building(tmp_path / "studio", Settings()) as part:
            (part.folder / "half").write_text("done")
            raise LookupError

    with pytest.raises(LookupError):
        fail()
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_is_full_while_it_is_made_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_given: object, **_named: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "rename", full)

    def fail() -> None:
        with workspace.building(tmp_path / "studio", Settings()):
            pass

    with pytest.raises(StorageError, match="can't be made: No space left on device"):
        fail()
    assert list(tmp_path.iterdir()) == []


def test_it_is_not_seen_before_it_is_done(tmp_path: Path) -> None:
    with workspace.building(tmp_path / "studio", Settings()) as part:
        assert not (tmp_path / "studio").exists()
        assert part.folder.parent == tmp_path
    assert (tmp_path / "studio").is_dir()


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "studio").mkdir()
    with workspace.building(tmp_path / "studio", Settings()):
        pass
    assert workspace.opened(tmp_path / "studio").uploads.is_dir()


def test_a_folder_that_holds_something_is_left_alone(made: Workspace, tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "x").write_text("mine")
    (tmp_path / "file").write_text("mine")
    with pytest.raises(StorageError, match=r"is a workspace already\. Nothing was changed"):
        workspace.require_free(made.folder)
    for name in ("full", "file"):
        with pytest.raises(StorageError, match=r"isn't empty\. Name a new or empty folder"):
            workspace.require_free(tmp_path / name)
    workspace.require_free(tmp_path / "new")


def test_the_time_now_is_the_machines_unless_a_day_is_fixed(tmp_path: Path) -> None:
    machine = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)  # half past midnight on the 2nd in London
    assert Workspace(tmp_path, Settings()).now(machine) == machine
    fixed = Settings(zone="Europe/London", today=date(2026, 3, 19))
    # 00:30 there on the fixed day; London is at UTC in March (IANA: Europe/London).
    assert Workspace(tmp_path, fixed).now(machine) == datetime(2026, 3, 19, 0, 30, tzinfo=UTC)


@pytest.mark.parametrize("name", ["entries", "labels"])
def test_what_is_shipped_is_found_in_a_checkout(name: str) -> None:
    assert any(workspace.starter(name).iterdir())
