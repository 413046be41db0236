import pytest

from kb.entries import symptoms


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("The screens are not on!", {"screen"}),
        ("the guest's voice", {"guest", "voice"}),
        ("the guest\u2019s voice", {"guest", "voice"}),
        ("No bass, gas or pass", {"bass", "gas", "pass"}),
        ("48 V at 50 Hz", {"48", "50", "hz"}),
        ("it is what it is", set()),
    ],
)
def test_small_words_and_the_plural_carry_no_meaning(text: str, words: set[str]) -> None:
    assert symptoms.content_words(text) == words


@pytest.mark.parametrize(
    ("one", "other", "near"),
    [
        ("screen black", "black screen", True),
        ("screen black", "the screens went black", True),
        ("screen black", "screen dark", False),
        ("screen black today", "screen black", True),
        ("screen black today", "screen black after lunch", True),
        ("screen black today here", "screen dark after lunch", False),
        ("a b c d red", "red", True),
        ("it is off", "off it is", False),
    ],
)
def test_lines_are_too_near_when_more_than_half_their_words_are_shared(
    one: str,
    other: str,
    near: bool,  # noqa: FBT001 - a table's column
) -> None:
    assert bool(list(symptoms.too_near([one, other]))) is near
    assert bool(list(symptoms.too_near([other, one]))) is near


def test_each_pair_is_named_once_with_what_it_shares() -> None:
    lines = ["screen black", "hum in the ear", "black screen"]
    assert list(symptoms.too_near(lines)) == [(0, 2, frozenset({"screen", "black"}))]


def test_lines_without_a_word_of_the_title_are_counted() -> None:
    lines = ["the screens hum", "no picture", "it is dark", "black"]
    assert symptoms.apart_from("Screen stays black", lines) == 2
