"""A newer starter base comes into a workspace that was made from an older one."""

import shutil
from pathlib import Path

import pytest
from calls import Result, called
from cli.conftest import _ship

from kb.records import workspace

OLDER = Path(__file__).parents[1] / "reference" / "starter-before-voices"
SLUGS = sorted(path.stem for path in OLDER.glob("*.md") if path.stem != "README")
OURS, BOTH, GONE = "audio-clipping", "audio-hum", "display-sleep"
TITLE = "title: Steady low hum or buzz in the sound"


@pytest.fixture
def studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a workspace made from the older base, in which the crew edited and withdrew."""
    folder = tmp_path / "studio"
    monkeypatch.setenv("KITLORE_WORKSPACE", str(folder))
    monkeypatch.setenv("LOGNAME", "jp")
    _ship(OLDER, monkeypatch)
    assert called("init", folder, "--zone", "Europe/London").code == 0
    assert called("entries", "withdraw", GONE).code == 0
    for slug, old, new in (
        (OURS, "slug: audio-clipping", "slug: clipping-here"),
        (BOTH, TITLE, "title: The hum of our fridge"),
    ):
        mine = tmp_path / f"{new.partition(': ')[2] if slug == OURS else slug}.md"
        mine.write_text((OLDER / f"{slug}.md").read_text().replace(old, new), encoding="utf-8")
        saved = called("entries", "save", mine)
        assert saved.code == 0, saved.err
    return folder


@pytest.fixture
def newer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Let the base of today be shipped: what the older one had, and one entry more."""
    folder = tmp_path / "newer"
    folder.mkdir()
    monkeypatch.undo()
    for slug in (*SLUGS, "camera-white-balance", "glossary"):
        shutil.copy(workspace.starter("entries") / f"{slug}.md", folder)
    return folder


def upgraded(studio: Path, newer: Path, patch: pytest.MonkeyPatch) -> Result:
    patch.setenv("KITLORE_WORKSPACE", str(studio))
    patch.setenv("LOGNAME", "jp")
    _ship(newer, patch)
    return called("entries", "starter")


def test_an_upgrade_keeps_edits_shows_conflicts_and_brings_nothing_back(
    studio: Path, newer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    result = upgraded(studio, newer, monkeypatch)

    assert result.code in {0, 1}
    assert "added: 1: camera-white-balance\n" in result.out
    assert f"withdrawn: 1: {GONE}\n" in result.out
    assert f"conflicts: 1: {BOTH}\n" in result.out
    assert "-title: The hum of our fridge\n" in result.out
    assert f"+{TITLE}\n" in result.out
    assert "changed: 3: audio-clipping, display-no-signal, drive-too-slow\n" in result.out

    told = {one["slug"]: one for one in called("entries", "list", "--json").json}
    assert told[BOTH]["title"] == "The hum of our fridge"
    assert told[GONE]["status"] == "withdrawn"
    assert "clipping-here" in told
    found = called("find", "the hum of our fridge", "--json").json["results"]
    assert found[0]["id"] == BOTH
    assert GONE not in [one["id"] for one in called("find", "asleep", "--json").json["results"]]
    new = (newer / "drive-too-slow.md").read_text(encoding="utf-8")
    assert called("entries", "see", "drive-too-slow", "--markdown").out == new


def test_a_second_upgrade_changes_nothing(
    studio: Path, newer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    upgraded(studio, newer, monkeypatch)
    again = called("entries", "starter").out

    assert "added" not in again
    assert "changed" not in again
    assert f"withdrawn: 1: {GONE}\n" in again
