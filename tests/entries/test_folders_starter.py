"""The shipped base comes and grows; what the crew made of it stays."""

from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import pytest
from fault_builders import NOW, an_entry_text
from sqlmodel import Session

from kb.entries import folders, library

Write = Callable[..., None]
SLUG = "display-no-signal"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "starter"
    made.mkdir()
    return made


@pytest.fixture
def write(folder: Path) -> Write:
    """Return what writes an entry's file."""

    def written(slug: str = SLUG, **over: object) -> None:
        (folder / f"{slug}.md").write_text(an_entry_text(slug, **over), encoding="utf-8")

    return written


def title(session: Session) -> str:
    return library.entry_page(session, SLUG).entry.title


def save(session: Session, words: str) -> None:
    library.save_entry(session, an_entry_text(SLUG, title=words), NOW)


def merge(session: Session, folder: Path) -> dict[str, list[str]]:
    taken = folders.merge_starter(session, folder, NOW)
    return {name: slugs for name, slugs in asdict(taken).items() if slugs}


def test_new_and_untouched_entries_follow_the_starter_base(
    session: Session, folder: Path, write: Write
) -> None:
    write(title="first")
    assert merge(session, folder) == {"added": [SLUG]}
    assert merge(session, folder) == {"same": [SLUG]}
    write(title="second")
    write("one")
    assert merge(session, folder) == {"added": ["one"], "changed": [SLUG]}
    write(title="third")
    assert merge(session, folder) == {"changed": [SLUG], "same": ["one"]}
    assert title(session) == "third"
    notes = [one.note for one in library.revisions(session, SLUG)]
    assert notes == ["starter base", "newer starter base", "newer starter base"]


def test_the_crew_s_own_edit_stays_and_is_shown_where_the_starter_base_went_on(
    session: Session, folder: Path, write: Write
) -> None:
    write(title="first")
    merge(session, folder)
    save(session, "ours")
    assert merge(session, folder) == {"same": [SLUG]}
    write(title="second")
    assert merge(session, folder) == {"conflicts": [SLUG]}
    assert title(session) == "ours"
    # Once the crew takes it over, the entry follows again.
    save(session, "second")
    assert merge(session, folder) == {"same": [SLUG]}
    write(title="third")
    assert merge(session, folder) == {"changed": [SLUG]}


def test_an_entry_of_the_crew_s_own_under_the_same_slug_stays(
    session: Session, folder: Path, write: Write
) -> None:
    save(session, "ours")
    write(title="theirs")
    assert merge(session, folder) == {"conflicts": [SLUG]}
    assert title(session) == "ours"
