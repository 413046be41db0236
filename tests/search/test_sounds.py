"""The key of sounds, on pairs that dictation takes for each other (common practice, no source)."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import sounds


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("mikerowphone", "microphone"),
        ("wreckignised", "recognised"),
        ("capchair", "capture"),
        ("coatdeck", "codec"),
        ("mineus", "minus"),
        ("meether", "metre"),
        ("fandom", "phantom"),
        ("cbull", "cable"),
        ("know", "no"),
        ("rite", "write"),
        ("fibre", "fiber"),
    ],
)
def test_what_sounds_alike_has_the_same_key(heard: str, meant: str) -> None:
    assert sounds.key(heard) == sounds.key(meant)


@pytest.mark.parametrize(
    ("one", "other"), [("cable", "label"), ("sound", "round"), ("mixer", "meter"), ("on", "off")]
)
def test_what_sounds_otherwise_has_another(one: str, other: str) -> None:
    assert sounds.key(one) != sounds.key(other)


@pytest.mark.parametrize(
    ("words", "letters"),
    [
        (("aitch", "dee", "em", "eye"), "hdmi"),
        (("you", "s", "bee"), "usb"),
        (("eye", "pee"), "ip"),
        (("aitch", "dark"), None),
    ],
)
def test_names_of_letters_spell_a_word(words: tuple[str, ...], letters: str | None) -> None:
    assert sounds.spelt(words) == letters


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz", max_size=20))
@settings(max_examples=100)
def test_a_key_is_no_longer_than_its_word_and_never_doubles(word: str) -> None:
    key = sounds.key(word)

    assert len(key) <= len(word) + word.count("x")
    assert all(one != other for one, other in pairwise(key))
