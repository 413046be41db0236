"""A newer starter base comes into a studio that began with an older one and worked with it."""

from pathlib import Path

import pytest
from calls import called

from kb.entries import folders
from kb.records import workspace

pytestmark = pytest.mark.slow
HERE = Path(__file__).parents[1]
OLDER, NEWER = HERE / "reference" / "starter-older", HERE.parent / "entries"
EDITED, WITHDRAWN = "display-sleep", "video-lip-sync"
FOLLOWING = sorted(folders.slugs(OLDER) - {EDITED, WITHDRAWN})


def ship(base: Path, patch: pytest.MonkeyPatch) -> None:
    """Let this base be the one that the program comes with."""
    labels = HERE.parent / "labels"
    patch.setattr(workspace, "starter", lambda name: base if name == "entries" else labels)


@pytest.fixture
def studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A studio of the older base; its crew edited one entry and withdrew another."""
    ship(OLDER, monkeypatch)
    folder = tmp_path / "studio"
    begun = ("init", folder, "--zone", "Europe/London", "--log-began", "2026-01-01")
    assert called(*begun).code == 0
    own = tmp_path / f"{EDITED}.md"
    own.write_text(ours(EDITED), encoding="utf-8")
    assert called("-w", folder, "entries", "save", own, "--note", "our wall").code == 0
    assert called("-w", folder, "entries", "withdraw", WITHDRAWN).code == 0
    ship(NEWER, monkeypatch)
    return folder


def ours(slug: str) -> str:
    """Return what the crew made of an entry."""
    text = (OLDER / f"{slug}.md").read_text(encoding="utf-8")
    return text.replace("\ntitle: ", "\ntitle: Our wall, ")


def read(folder: Path, slug: str) -> str:
    """Return the Markdown of an entry as the studio has it."""
    return str(called("-w", folder, "entries", "see", slug, "--markdown").out)


def test_untouched_entries_follow_edits_stay_and_what_was_withdrawn_stays_away(
    studio: Path,
) -> None:
    taken = called("-w", studio, "entries", "starter", "--json").json

    assert (taken["conflicts"], taken["withdrawn"]) == ([EDITED], [WITHDRAWN])
    assert (taken["changed"], taken["same"]) == (FOLLOWING, [])
    assert len(taken["added"]) == len(folders.slugs(NEWER)) - 6
    for slug in FOLLOWING:
        assert read(studio, slug) == (NEWER / f"{slug}.md").read_text(encoding="utf-8")
    assert read(studio, EDITED) == ours(EDITED)
    listed = called("-w", studio, "entries", "list", "--json").json
    assert {x["slug"] for x in listed if x["status"] != "accepted"} == {WITHDRAWN}
    found = called("-w", studio, "find", "lips and voice apart", "--json").json["results"]
    assert WITHDRAWN not in [one["id"] for one in found]


def test_a_conflict_is_shown_with_both_sides_and_the_way_out(studio: Path) -> None:
    told = called("-w", studio, "entries", "starter")

    assert told.code == 0
    assert f"conflicts: 1: {EDITED}\n" in told.out
    lines = told.out.splitlines()
    old, new = (
        next(line for line in path.read_text(encoding="utf-8").splitlines() if "title:" in line)
        for path in (OLDER / f"{EDITED}.md", NEWER / f"{EDITED}.md")
    )
    assert old == new
    assert any(line.startswith("-title: Our wall") for line in lines)
    assert f"+{new}" in lines
    assert f"kitlore entries save {NEWER / EDITED}.md" in " ".join(told.out.split())


def test_the_second_upgrade_changes_nothing_and_shows_the_conflict_again(studio: Path) -> None:
    called("-w", studio, "entries", "starter")
    again = called("-w", studio, "entries", "starter", "--json").json

    assert (again["added"], again["changed"]) == ([], [])
    assert (again["conflicts"], again["withdrawn"]) == ([EDITED], [WITHDRAWN])


def test_the_shipped_text_taken_over_ends_the_conflict(studio: Path) -> None:
    called("-w", studio, "entries", "starter")
    assert called("-w", studio, "entries", "save", NEWER / f"{EDITED}.md").code == 0
    again = called("-w", studio, "entries", "starter", "--json").json

    assert (again["conflicts"], EDITED in again["same"]) == ([], True)
    notes = called("-w", studio, "entries", "revisions", EDITED, "--json").json
    assert [one["note"] for one in notes] == ["starter base", "our wall", None]
