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
        ("nothing on it", {"=no pictur"}, ("nothing on = no pictur",)),
        ("telly", set(), ()),
    ],
)
def test_words_are_told_with_what_they_were_read_as_or_mean(
    text: str, matched: set[str], why: tuple[str, ...]
) -> None:
    assert explaining.why(asking.asked(text, KNOWN), matched) == why


def test_a_name_is_told_first() -> None:
    assert explaining.why(asking.asked("telly"), {"telli"}, "CC-01") == ("CC-01", "telly")
