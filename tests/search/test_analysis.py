import json
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import analysis, vocabulary

REFERENCE = Path(__file__).parents[1] / "reference" / "english_stems.json"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("the mic is on", ["mic", "on"]),
        ("no light, not one, only off", ["no", "light", "not", "one", "onli", "off"]),
        ("It doesn't start", ["not", "start"]),
        ("it doesn\u2019t start", ["not", "start"]),
        ("it doesnt start, cannot start", ["not", "start", "not", "start"]),
        ("the guest's mic", ["guest", "mic"]),
        ("we've lost it", ["lost"]),
        ("drive D:", ["drive", "d"]),
        (
            "caf\u00e9 r\u00e9sum\u00e9 \u00d8rsted \u0141\u00f3d\u017a",
            ["cafe", "resum", "orst", "lodz"],
        ),
        ("\ufb01re \uff11\uff12", ["fire", "12"]),
    ],
)
def test_small_words_count_and_writing_is_folded(text: str, expected: list[str]) -> None:
    assert analysis.terms(text) == expected


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Wi-Fi", "wifi"),
        ("multi-viewer", "multiviewer"),
        ("set-up", "setup"),
        ("HDMI-2", "hdmi2"),
        ("USB-C", "usbc"),
        ("XLR 3-pin", "3 pin"),
        ("CC-01", "cc1"),
        ("48 kHz", "48k"),
        ("48khz", "48 k"),
        ("20 seconds", "20s"),
        ("12 volts", "12 V"),
        ("2 TB", "2tb"),
        ("1080p50", "1080"),
        ("59,94", "59.94"),
        ("10,000", "10000"),
        ("169.254.10.7", "169.254"),
        ("16:9", "16:9"),
        ("\u201348 dB", "48db"),
    ],
)
def test_ways_of_writing_the_same_meet_in_a_term(one: str, other: str) -> None:
    assert set(analysis.terms(one)) & set(analysis.terms(other))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("wi-fi", ["wi", "fi", "wifi"]),
        ("1080p50", ["1080", "p", "50", "1080p50"]),
        ("plug-and-play", ["plug", "play", "plugandplay"]),
        ("48 kHz", ["48", "khz", "48k"]),
        ("two minutes", ["two", "minut"]),
        ("169.254.10.7", ["169.254.10.7", "169.254"]),
        ("00:05", ["00:05"]),
        ("007", ["7"]),
    ],
)
def test_compounds_and_numbers_give_parts_and_the_whole(text: str, expected: list[str]) -> None:
    assert analysis.terms(text) == expected


# Pairs from memory; both spellings stand in any large English dictionary.
@pytest.mark.parametrize(
    ("american", "british"),
    [
        ("color", "colour"),
        ("colored", "coloured"),
        ("recognized", "recognised"),
        ("synchronization", "synchronisation"),
        ("analyzing", "analysing"),
        ("labeled", "labelled"),
        ("canceling", "cancelling"),
        ("gray", "grey"),
        ("center", "centre"),
        ("fibers", "fibres"),
        ("analog", "analogue"),
        ("disc", "disk"),
        ("program", "programme"),
    ],
)
def test_american_and_british_spelling_meet(american: str, british: str) -> None:
    assert analysis.terms(american) == analysis.terms(british)


@pytest.mark.parametrize("word", ["resize", "called", "installed", "size", "prize"])
def test_spelling_rules_leave_other_words_alone(word: str) -> None:
    assert analysis._british(word) == word


def test_stems_are_those_of_the_published_vocabulary() -> None:
    for word, stem in json.loads(REFERENCE.read_text(encoding="utf-8"))["stems"].items():
        assert analysis.terms(word, frozenset()) == [stem], word


@pytest.mark.parametrize(
    ("one", "other"),
    [("CC-01", "cc01"), ("laptop 3", "Laptop3"), ("K7Q 2MX", "k7q2mx"), ("S/N 12.34", "sn1234")],
)
def test_exact_keys_are_letters_and_digits_alone(one: str, other: str) -> None:
    assert analysis.exact_key(one) == analysis.exact_key(other)


@given(st.text(max_size=60))
@settings(max_examples=200)
def test_folding_twice_changes_nothing(text: str) -> None:
    assert analysis.fold(analysis.fold(text)) == analysis.fold(text)


@given(st.text(max_size=60))
@settings(max_examples=200)
def test_terms_are_short_storable_and_never_stop_words(text: str) -> None:
    for term in analysis.terms(text):
        assert 0 < len(term.encode()) <= 40 * analysis.WORD_LIMIT
        assert term not in vocabulary.STOP or len(text) > len(term)


@given(st.text(alphabet=st.characters(codec="latin-1"), max_size=60))
@settings(max_examples=200)
def test_case_and_accents_never_matter(text: str) -> None:
    other = unicodedata.normalize("NFD", text)
    assert analysis.terms(text) == analysis.terms(other)


@given(st.lists(st.sampled_from(["no", "sound", "wi-fi", "48k", "don't", "CC-01"]), max_size=8))
@settings(max_examples=50)
def test_words_of_a_text_are_analysed_one_by_one(words: list[str]) -> None:
    apart = [term for word in words for term in analysis.terms(word)]
    assert analysis.terms(" ; ".join(words)) == apart
