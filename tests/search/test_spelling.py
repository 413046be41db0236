"""Corrections; distances are those of rapidfuzz, the cases our own."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import sounds, spelling
from kb.search.spelling import Lexicon, Reading

WORDS = """
    us her and the with not on
    microphone cable hdmi usb laptop recognised capture codec minus metre
    keyboard black screen space system sync recorder recording shown light signal no picture
    converter feed feedback feeds reboot clip resolution guest host colour bent
    """


def lexicon(words: str = WORDS, count: Callable[[str], int] = lambda _: 2) -> Lexicon:
    keys = {word: sounds.key(word) for word in words.split()}
    sounding: dict[str, list[str]] = {}
    for word, key in keys.items():
        sounding.setdefault(key, []).append(word)
    return Lexicon(keys, sounding, count, keys.__contains__)


def read(text: str) -> str:
    """Return a text as it's read, several possible words joined."""
    words = text.split()
    for reading in reversed(list(spelling.readings(words, lexicon()))):
        words[reading.start : reading.start + reading.length] = ["/".join(reading.words)]
    return " ".join(words)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("blakc screen", "black screen"),  # a swap
        ("no pictur shwon", "no picture shown"),  # one letter less, a swap
        ("adn the laptop", "and the laptop"),  # a swap in a short word
        ("micorphone black", "microphone black"),
        ("colur black", "colour black"),
        ("lap top", "laptop"),  # torn apart
        ("key board black", "keyboard black"),
        ("blackscreen recorder", "black screen recorder"),  # run together
        ("aitch dee em eye cable", "hdmi cable"),  # spelt out
        ("sea bull", "cable"),
        ("mike row phone", "microphone"),
        ("wreck ignised", "recognised"),
        ("cap chair", "capture"),
        ("coat deck", "codec"),
        ("mine us", "minus"),
        ("meet her", "metre"),
        ("convert her", "converter"),
        ("rest solution", "resolution"),
        ("clip sy", "clip sync/system"),  # the beginning of a word
        ("zyzzyva black", "zyzzyva black"),  # like nothing
        ("bent", "bent"),
        ("the guest", "the guest"),
        ("black and screen", "black and screen"),
        ("xq the", "xq the"),
        ("1080p50 black", "1080p50 black"),
    ],
)
def test_what_was_meant_is_read(typed: str, meant: str) -> None:
    assert read(typed) == meant


def test_of_words_as_near_the_one_in_use_is_meant() -> None:
    often = {"feeds": 9}
    (reading,) = spelling.readings(["feedx", "no"], lexicon(count=lambda word: often.get(word, 0)))

    assert reading == Reading(0, 1, ("feeds",))


@given(st.lists(st.text(alphabet="abcdehilmnoprst", min_size=1, max_size=12), max_size=8))
@settings(max_examples=60)
def test_readings_are_in_order_apart_and_of_known_words(words: list[str]) -> None:
    known = lexicon()
    end = 0
    for reading in spelling.readings(words, known):
        assert reading.start >= end
        end = reading.start + reading.length
        assert all(part in known.keys for word in reading.words for part in word.split())
    assert end <= len(words)
