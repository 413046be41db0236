"""The glossary: read, looked up in, and held to what the entries use."""

from pathlib import Path

import pytest

from kb.entries import folders, glossary, parse
from kb.entries.glossary import Word

TEXT = """# Glossary

What it is.

## fader

A slider.

## mix-minus

A mix for one.
It lacks one voice.

Also: N-1, clean return

## UPS

A box with a battery.
"""


@pytest.fixture
def shipped() -> Path:
    return Path(__file__).parents[2] / "entries"


def told(text: str, sample: str) -> list[tuple[int, str]]:
    """Return what lint finds, beside the one entry that there is."""
    return [(one.line, one.message) for one in glossary.lint(text, [parse.entry_from(sample)])]


def test_words_are_read_with_their_meaning_and_their_other_names() -> None:
    assert glossary.read(TEXT) == (
        Word("fader", "A slider.", (), 5),
        Word("mix-minus", "A mix for one. It lacks one voice.", ("N-1", "clean return"), 9),
        Word("UPS", "A box with a battery.", (), 16),
    )
    assert glossary.read("# Glossary\n\nNothing yet.\n") == ()


@pytest.mark.parametrize(
    ("term", "anchor"),
    [
        # How a Git web page names a heading: lower case, marks dropped, spaces to hyphens (from
        # memory).
        ("mix-minus", "mix-minus"),
        ("True Peak", "true-peak"),
        ("UPS", "ups"),
        ("N-1 (send)", "n-1-send"),
    ],
)
def test_a_word_is_pointed_at_as_markdown_pages_do(term: str, anchor: str) -> None:
    assert Word(term, "", (), 1).anchor == anchor


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Pull the fader down.", "fader"),
        ("Fader down.", "Fader"),
        ("all faders", "faders"),
        ("the fader's end", "fader"),
        ("cross-fader", None),
        ("the faderless desk", None),
        ("Take the N-1 from there.", "N-1"),
        ("line n-1", None),
        ("on the UPS", "UPS"),
        ("ups and downs", None),
        ("two UPSes", "UPSes"),
    ],
)
def test_a_word_is_found_whole_in_its_plural_and_capitals_as_they_are(
    text: str, found: str | None
) -> None:
    forms = [form for word in glossary.read(TEXT) for form in word.forms]
    match = glossary.pattern(forms).search(text)

    assert (match and match[0]) == found


def test_the_longest_name_wins() -> None:
    assert glossary.pattern(["peak", "peak meter"]).findall("a peak meter") == ["peak meter"]


@pytest.mark.parametrize(
    ("typed", "term"),
    [("FADER", "fader"), (" clean  return ", "mix-minus"), ("ups", "UPS"), ("fad", None)],
)
def test_a_word_is_looked_up_by_any_of_its_names(typed: str, term: str | None) -> None:
    found = glossary.find(glossary.read(TEXT), typed)

    assert (found and found.term) == term


def test_a_sound_glossary_has_nothing_to_mend(sample: str) -> None:
    assert told("# Glossary\n\n## lead\n\nWhat joins two boxes.\n", sample) == []


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("# Glossary\n", 1, "no word is explained."),
        ("## \n\nWhat?\n", 1, "the heading is empty."),
        ("## recorder\n", 1, "nothing says what 'recorder' means."),
        ("## recorder\n\nAlso: deck\n", 1, "nothing says what 'recorder' means."),
        ("## recorder\n\nOne. Two. Three. Four.\n", 1, "'recorder' takes more than 3 sentences."),
        ("## recorder\n\nA.\n\n## Drive\n\nB.\n", 5, "'Drive' stands below 'recorder'."),
        ("## drive\n\nA.\n\n## Drive\n\nB.\n", 5, "'Drive' is explained on line 1 already."),
        ("## drive\n\nA.\n\n## slot\n\nB.\n\nAlso: Drive\n", 5, "'Drive' is explained on line 1"),
        ("## gramophone\n\nIt plays.\n", 1, "no entry uses 'gramophone'."),
    ],
)
def test_what_is_wrong_is_found_on_its_line(
    text: str, line: int, message: str, sample: str
) -> None:
    found = told(text, sample)

    assert any(at == line and words.startswith(message) for at, words in found), found


@pytest.mark.parametrize(
    ("text", "lost"),
    [
        ("See [it](glossary.md#fader).", []),
        ("See [it](/entries/glossary#fader).", []),
        ("Line one.\nSee [it](glossary.md#fadr).", [2]),
        ("See [it](/entries/glossary#).", [1]),
    ],
)
def test_links_of_an_entry_to_words_that_are_not_there(text: str, lost: list[int]) -> None:
    anchors = [word.anchor for word in glossary.read(TEXT)]

    assert [one.line for one in glossary.lost_links(text, anchors)] == lost


def test_a_folder_s_glossary_is_linted_with_its_entries(tmp_path: Path, sample: str) -> None:
    entry = parse.entry_from(sample)
    known = frozenset(entry.confused_with)
    (tmp_path / f"{entry.slug}.md").write_text(sample, encoding="utf-8")
    assert list(folders.lint_folder(tmp_path, known)) == []
    assert folders.words(tmp_path) == ()

    file = tmp_path / glossary.FILE
    file.write_text("## gramophone\n\nIt plays.\n", encoding="utf-8")

    (found,) = folders.lint_folder(tmp_path, known)
    assert found.startswith(f"{file}:1: no entry uses 'gramophone'.")
    assert folders.slugs(tmp_path) == {entry.slug}


def test_the_shipped_glossary_explains_many_words_and_links_to_each(shipped: Path) -> None:
    words = folders.words(shipped)
    page = (shipped / glossary.FILE).read_text(encoding="utf-8")

    assert len(words) > 100
    assert not page.startswith("---")
    assert len({word.anchor for word in words}) == len(words)
