import re

import pytest

from kb.search import asking, explaining, thesaurus
from kb.search.asking import Knowledge
from kb.search.spelling import Reading

KNOWN = Knowledge(
    read=lambda words: [Reading(words.index("blakc"), 1, ("black",))] if "blakc" in words else [],
    meant=thesaurus.read("screen, telly\nno picture, nothing on", ""),
)


@pytest.mark.parametrize(
    ("text", "matched", "why"),
    [
        ("telly hums", {"hum"}, ("hums",)),
        ("telly hums", {"=screen", "hum"}, ("hums", "telly = screen")),
        ("telly hums", {"=screen", "telli"}, ("telly",)),
        ("blakc telly", {"black"}, ("blakc → black",)),
        ("nothing on it", {"=no pictur"}, ("nothing on = no picture",)),
        ("No picture here", {"=no pictur"}, ("no picture",)),
        ("telly", set(), ()),
    ],
)
def test_words_are_told_with_what_they_were_read_as_or_mean(
    text: str, matched: set[str], why: tuple[str, ...]
) -> None:
    assert explaining.why(asking.asked(text, KNOWN), matched) == why


def test_a_name_is_told_first() -> None:
    assert explaining.why(asking.asked("telly"), {"telli"}, "CC-01") == ("CC-01", "telly")


def test_no_meaning_of_the_program_is_told_by_a_stem() -> None:
    """Each is named by words that stand in the thesaurus as they are."""
    shipped = thesaurus.shipped()
    written = (thesaurus.DATA / "thesaurus.txt").read_text(encoding="utf-8")
    named = {name for means in shipped.phrases.values() for name in means}

    for name in named:
        called = shipped.called.get(name, name.removeprefix(thesaurus.MARK))
        assert re.search(rf"(?<![^\W_]){re.escape(called)}(?![^\W_])", written), name


def test_whole_words_are_told_of_a_picture() -> None:
    known = Knowledge(meant=thesaurus.shipped())

    assert explaining.why(asking.asked("pic", known), {"=pictur"}) == ("pic = picture",)
