"""Entries from and to a folder: all or nothing, and nobody's work is written over."""

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import pytest
from entry_strategies import entries as any_entries
from fault_builders import NOW, an_entry_text
from hypothesis import HealthCheck, given, settings
from sqlmodel import Session

from kb.entries import folders, library, parse, render
from kb.entries.folders import Taken
from kb.entries.model import Entry
from kb.errors import ConflictError, InvalidError, NotFoundError, StorageError
from kb.records.kinds import EntryStatus

SHIPPED = Path(__file__).parents[2] / "entries"
Write = Callable[..., None]
SLUG = "display-no-signal"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "our-entries"
    made.mkdir()
    return made


@pytest.fixture
def write(folder: Path) -> Write:
    """Return what writes an entry's file."""

    def written(slug: str = SLUG, **over: object) -> None:
        (folder / f"{slug}.md").write_text(an_entry_text(slug, **over), encoding="utf-8")

    return written


def told(taken: Taken) -> dict[str, list[str]]:
    """Return what became of the files, as far as anything did."""
    return {name: slugs for name, slugs in asdict(taken).items() if slugs}


def take(session: Session, folder: Path) -> dict[str, list[str]]:
    """Import a folder as a face does."""
    taken = folders.import_folder(session, folder, NOW)
    folders.note_import(folder, taken)
    return told(taken)


def title(session: Session, slug: str = SLUG) -> str:
    return library.entry_page(session, slug).entry.title


def save(session: Session, words: str, slug: str = SLUG) -> None:
    library.save_entry(session, an_entry_text(slug, title=words), NOW)


def test_every_file_is_taken_in(session: Session, folder: Path, write: Write) -> None:
    write("one")
    write("two")
    (folder / "README.md").write_text("# Ours")
    (folder / "glossary.md").write_text("# Words")
    (folder / "notes.txt").write_text("none of it")
    assert take(session, folder) == {"added": ["one", "two"]}
    assert [one.note for one in library.revisions(session, "one")] == ["imported"]
    assert take(session, folder) == {"same": ["one", "two"]}


def test_one_broken_file_keeps_all_out_and_each_slip_is_told(
    session: Session, folder: Path, write: Write
) -> None:
    write("one")
    write("two", area="Cellar")
    text = an_entry_text("three").replace("takes: 30s", "takes: long")
    (folder / "three.md").write_text(text)
    with pytest.raises(InvalidError) as error:
        take(session, folder)
    assert [problem.field for problem in error.value.problems] == [
        f"{folder / 'three.md'}:9",
        f"{folder / 'two.md'}:4",
    ]
    assert all(problem.message.endswith(".") for problem in error.value.problems)
    assert library.entry_lines(session) == ()


def test_a_file_is_named_as_its_slug(session: Session, folder: Path, write: Write) -> None:
    save(session, "ours", "other-one")
    write("one")
    (folder / "one.md").rename(folder / "two.md")
    (folder / "other.md").write_text(an_entry_text("other-one", title="theirs"))
    with pytest.raises(InvalidError) as error:
        take(session, folder)
    assert [str(problem).removeprefix(str(folder)) for problem in error.value.problems] == [
        "/other.md:2: the slug isn't the file's name. Write 'slug: other'.",
        "/two.md:2: the slug isn't the file's name. Write 'slug: two'.",
    ]
    assert title(session, "other-one") == "ours"
    assert [line for line in folders.lint_folder(folder) if "file's name" in line]


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"---\nslug: a\n\xff\n", ":3: it isn't UTF-8"),
        (b"x" * 1_000_001, "1,000,001 bytes are too many"),
        (b"", ":1: "),
    ],
)
def test_a_file_that_is_no_text_of_an_entry_is_told(
    session: Session, folder: Path, content: bytes, sentence: str
) -> None:
    (folder / "one.md").write_bytes(content)
    with pytest.raises(InvalidError) as error:
        take(session, folder)
    assert sentence in error.value.message
    assert str(folder / "one.md") in error.value.message


@pytest.mark.parametrize("name", [".", "nowhere"])
def test_a_folder_without_entries_is_told(session: Session, folder: Path, name: str) -> None:
    named = folder / name
    with pytest.raises(NotFoundError, match="No entry in"):
        take(session, named)
    with pytest.raises(NotFoundError, match="No entry in"):
        folders.merge_starter(session, named, NOW)
    with pytest.raises(NotFoundError, match="No entry in"):
        list(folders.lint_folder(named))


def test_what_was_changed_in_the_file_alone_is_taken_over_each_time(
    session: Session, folder: Path, write: Write
) -> None:
    save(session, "first")
    folders.export_folder(session, folder)
    for words in ("second", "third", "first"):
        write(title=words)
        assert take(session, folder) == {"changed": [SLUG]}
        assert title(session) == words


def test_what_was_changed_in_the_base_alone_stays(session: Session, folder: Path) -> None:
    save(session, "first")
    folders.export_folder(session, folder)
    save(session, "second")
    assert take(session, folder) == {"older": [SLUG]}
    # Also where nothing tells when the file was written.
    (folder / folders.STAND).unlink()
    assert take(session, folder) == {"older": [SLUG]}
    assert title(session) == "second"


@pytest.mark.parametrize("stand", ["there", "gone", "{", "[]"])
def test_what_was_changed_on_both_sides_is_shown_and_never_written_over(
    session: Session, folder: Path, write: Write, stand: str
) -> None:
    save(session, "first")
    folders.export_folder(session, folder)
    save(session, "ours")
    write(title="theirs")
    write("one")
    if stand == "gone":
        (folder / folders.STAND).unlink()
    elif stand != "there":
        (folder / folders.STAND).write_text(stand)
    for taken in ({"added": ["one"], "conflicts": [SLUG]}, {"same": ["one"], "conflicts": [SLUG]}):
        assert take(session, folder) == taken
    assert title(session) == "ours"
    assert len(library.revisions(session, SLUG)) == 2
    # Somebody writes down what shall hold, in the base or in the file.
    library.save_entry(session, (folder / f"{SLUG}.md").read_text(), NOW)
    assert take(session, folder) == {"same": [SLUG, "one"]}


def test_a_withdrawn_entry_does_not_come_back(
    session: Session, folder: Path, write: Write
) -> None:
    write()
    take(session, folder)
    library.set_status(session, SLUG, EntryStatus.WITHDRAWN)
    assert take(session, folder) == {"same": [SLUG]}
    write(title="another")
    assert take(session, folder) == {"withdrawn": [SLUG]}
    assert told(folders.merge_starter(session, folder, NOW)) == {"withdrawn": [SLUG]}
    assert library.entry_page(session, SLUG).line.status == EntryStatus.WITHDRAWN
    assert title(session) == "Screen says no signal"


def test_other_line_ends_make_no_other_text(session: Session, folder: Path) -> None:
    text = an_entry_text(SLUG)
    (folder / f"{SLUG}.md").write_bytes(text.replace("\n", "\r\n").encode())
    assert take(session, folder) == {"added": [SLUG]}
    assert library.entry_page(session, SLUG).text == text
    assert take(session, folder) == {"same": [SLUG]}
    # It says the same, so it may be written over.
    folders.export_folder(session, folder)
    assert (folder / f"{SLUG}.md").read_bytes() == text.encode()


def test_an_export_writes_what_is_in_use(session: Session, folder: Path) -> None:
    for slug in ("one", "two", "three"):
        save(session, "first", slug)
    library.set_status(session, "two", EntryStatus.WITHDRAWN)
    written = folders.export_folder(session, folder / "new" / "place")
    assert sorted(path.name for path in written) == ["one.md", "three.md"]
    stand = json.loads((folder / "new" / "place" / folders.STAND).read_text())
    assert stand == {
        slug: library.digest(an_entry_text(slug, title="first")) for slug in ("one", "three")
    }


def test_an_export_writes_over_nothing_that_the_base_never_held(
    session: Session, folder: Path, write: Write
) -> None:
    for slug in ("one", "two"):
        save(session, "first", slug)
    folders.export_folder(session, folder)
    write("one", title="mine")
    for slug in ("one", "two"):
        save(session, "second", slug)
    with pytest.raises(ConflictError, match=r"doesn't know: one\.md\. Nothing was written"):
        folders.export_folder(session, folder)
    assert "title: first" in (folder / "two.md").read_text()
    (folder / "one.md").unlink()
    folders.export_folder(session, folder)
    assert "title: second" in (folder / "one.md").read_text()
    assert "title: second" in (folder / "two.md").read_text()


def test_a_place_that_is_no_folder_is_told(session: Session, folder: Path) -> None:
    save(session, "first")
    (folder / "file").write_text("")
    with pytest.raises(StorageError, match="can't be made"):
        folders.export_folder(session, folder / "file" / "below")


def test_a_folder_that_cannot_be_written_is_imported_all_the_same(
    session: Session, folder: Path, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path, _content: bytes) -> None:
        raise StorageError("read-only", path)

    monkeypatch.setattr("kb.records.settings.write_whole", refuse)
    write()
    assert take(session, folder) == {"added": [SLUG]}
    assert not (folder / folders.STAND).exists()


@pytest.mark.slow
@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(any_entries())
def test_an_entry_comes_back_from_base_and_folder_in_every_field(
    session: Session, folder: Path, entry: Entry
) -> None:
    for path in folder.iterdir():
        path.unlink()
    here, there = folder, folder.with_name("exported")
    path = here / f"{entry.slug}.md"
    path.write_text(render.to_markdown(entry), encoding="utf-8", newline="\n")
    if not take(session, here).keys() & {"added", "same"}:
        library.save_entry(session, path.read_bytes().decode(), NOW)
    folders.export_folder(session, there)
    assert parse.entry_from((there / path.name).read_bytes().decode()) == entry


@pytest.mark.slow
def test_every_shipped_file_comes_back_byte_for_byte(session: Session, folder: Path) -> None:
    taken = folders.merge_starter(session, SHIPPED, NOW)
    written = folders.export_folder(session, folder)
    shipped = list(SHIPPED.glob("*-*.md"))
    assert len(written) == len(taken.added) == len(shipped) > 0
    for path in shipped:
        assert (folder / path.name).read_bytes() == path.read_bytes(), path.name
