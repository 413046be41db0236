"""Codes are read as they are typed, and what is mistyped is noticed."""

import itertools
import json
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from kb.errors import InvalidError
from kb.gear import codes

REFERENCE: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parents[1] / "reference" / "codes.json").read_text(encoding="utf-8")
    )
}
A_CODE = st.text(codes.ALPHABET, min_size=5, max_size=5).map(
    lambda data: data + codes.check_character(data)
)
# The check is linear: whether an error is noticed hangs on what it changes, not on the rest of
# the code, so one code for each change at each pair of places is an exhaustive trial.
PLACES = list(itertools.combinations(range(codes.LENGTH), 2))
few = settings(max_examples=40, deadline=None)


def is_code(text: str) -> bool:
    """Say whether reading accepts it unchanged."""
    try:
        return codes.read(text) == text
    except InvalidError:
        return False


def a_code_with(at: dict[int, str]) -> str:
    """Return a valid code with the given characters at the given positions."""
    free = max(place for place in range(codes.LENGTH) if place not in at)
    for character in codes.ALPHABET:
        characters = at | {free: character}
        code = "".join(characters.get(place, "0") for place in range(codes.LENGTH))
        if codes.check_character(code[: codes.DATA_LENGTH]) == code[codes.DATA_LENGTH]:
            return code
    raise AssertionError(at)


def test_check_value_agrees_with_a_published_worked_example() -> None:
    row = REFERENCE["COD-01"]
    alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
    values = [alphabet.index(character) for character in row["inputs"]["string"]]
    assert alphabet[codes._check_value(values, modulus=37)] == row["expected"]["check"]


def test_check_characters_agree_with_the_reference_values() -> None:
    row = REFERENCE["COD-04"]
    assert row["inputs"]["alphabet"] == codes.ALPHABET
    made = [data + codes.check_character(data) for data in row["inputs"]["data"]]
    assert made == row["expected"]


def test_check_character_agrees_with_the_sum_done_by_hand() -> None:
    row = REFERENCE["COD-06"]
    data = row["inputs"]["data"]
    assert data + codes.check_character(data) == row["expected"]


@few
@given(st.text(codes.ALPHABET, min_size=5, max_size=5))
def test_check_character_agrees_with_a_reference_library(data: str) -> None:
    expected = mod_37_2.calc_check_digit(data, alphabet=codes.ALPHABET)
    assert codes.check_character(data) == expected


@pytest.mark.parametrize(
    ("typed", "expected"),
    list(
        zip(REFERENCE["COD-09"]["inputs"]["typed"], REFERENCE["COD-09"]["expected"], strict=True)
    ),
)
def test_input_rule_gives_the_reference_reading(typed: str, expected: str) -> None:
    if not expected.startswith("reject"):
        assert codes.read(typed) == expected
        return
    with pytest.raises(InvalidError) as caught:
        codes.read(typed)
    word = {"letter": "is in no code", "length": "characters, this", "check": "does not agree"}
    assert word[expected.removeprefix("reject (").removesuffix(")")] in caught.value.message


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("A7M4XV", "the character 'A' is in no code"),
        ("k7me4xv", "the character 'e' is in no code"),
        ("K7M4X?", "the character '?' is in no code"),
        ("K7M4Xß", "the character 'ß' is in no code"),
        ("K7M4X\u0661", "the character '\u0661' is in no code"),  # an Arabic-Indic digit
        ("K7M\u200b4XV", "the invisible character U+200B is in no code"),
        ("K7M4X\u0301", "the invisible character U+0301 is in no code"),
        ("", "has 6 characters, this has 0"),
        (" - ", "has 6 characters, this has 0"),
        ("K7M 4X", "has 6 characters, this has 5"),
        ("K7M 4XV0", "has 6 characters, this has 7"),
        ("k7m 4vx", "'K7M 4VX' is no code"),
    ],
)
def test_refusal_names_what_is_wrong(typed: str, said: str) -> None:
    with pytest.raises(InvalidError) as caught:
        codes.read(typed)
    assert said in caught.value.message
    assert [problem.field for problem in caught.value.problems] == ["code"]
    assert caught.value.message.endswith(".")


@few
@given(A_CODE, st.randoms(use_true_random=False))
def test_a_code_is_read_however_it_is_spaced_cased_or_mistaken(code: str, source: Random) -> None:
    alike = {"0": "0oOqQdD", "1": "1iIlL", "2": "2zZ", "5": "5sS", "6": "6gG", "8": "8bB"}
    alike |= {"V": "vVuUyY"}
    typed = [source.choice(alike.get(character, character.lower())) for character in code]
    typed.insert(source.randrange(len(typed)), source.choice(" -\u2011\u2013\t\u00a0"))
    assert codes.read("".join(typed)) == code
    assert codes.looks_like_code("".join(typed))


@pytest.mark.parametrize("seed", range(20))
def test_a_code_made_can_be_read_and_has_the_reference_check(seed: int) -> None:
    code = codes.make(Random(seed))  # noqa: S311 - chance that repeats
    assert codes.read(code) == code
    assert mod_37_2.is_valid(code, alphabet=codes.ALPHABET)


def test_every_single_wrong_character_is_noticed() -> None:
    for place, right in itertools.product(range(codes.LENGTH), codes.ALPHABET):
        code = a_code_with({place: right})
        for wrong in codes.ALPHABET.replace(right, ""):
            assert not is_code(code[:place] + wrong + code[place + 1 :])


def test_every_swap_and_twin_error_at_any_distance_is_noticed() -> None:
    for (i, j), (a, b) in itertools.product(PLACES, itertools.permutations(codes.ALPHABET, 2)):
        swapped = list(a_code_with({i: a, j: b}))
        swapped[i], swapped[j] = b, a
        assert not is_code("".join(swapped))
        twin = list(a_code_with({i: a, j: a}))
        twin[i], twin[j] = b, b
        assert not is_code("".join(twin))


def test_all_but_one_in_22_of_double_errors_are_noticed() -> None:
    # 21 of 22 is 95.45 %; the enumeration behind the scheme's table says 95.4 %.
    code, size = "K7M4XV", len(codes.ALPHABET)
    missed = 0
    for (i, j), a, b in itertools.product(PLACES, range(1, size), range(1, size)):
        typed = list(code)
        for place, step in ((i, a), (j, b)):
            typed[place] = codes.ALPHABET[(codes.ALPHABET.index(code[place]) + step) % size]
        missed += is_code("".join(typed))
    assert missed * 22 == len(PLACES) * 22 * 22


def test_codes_are_sparse() -> None:
    row = REFERENCE["COD-10"]
    source = Random(7)  # noqa: S311 - chance that repeats
    drawn = {codes.make(source) for _ in range(row["inputs"]["n"])}
    near = 0
    for i, j in PLACES:
        rest = Counter(code[:i] + code[i + 1 : j] + code[j + 1 :] for code in drawn)
        near += sum(count * (count - 1) // 2 for count in rest.values())
    assert 0 < near <= row["expected"]["random_or_scrambled_max"]


def test_room_for_codes_is_as_reckoned() -> None:
    row = REFERENCE["COD-11"]
    size = len(codes.ALPHABET)
    assert size**codes.DATA_LENGTH == row["expected"]["data_strings"]
    shares = [count / size**codes.LENGTH for count in row["inputs"]["N"]]
    assert shares == pytest.approx(row["expected"]["live_share"], abs=1e-9)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("K7M 4XV", True),
        ("k7m4xw", True),  # the check is wrong, the form is right
        ("HDMI-07", True),  # a name can have the form too
        ("CC-01", False),
        ("laptop 3", False),
        ("K7M4X", False),
        ("A7M4XV", False),
        ("", False),
    ],
)
def test_form_alone_tells_a_code_from_most_names(typed: str, *, expected: bool) -> None:
    assert codes.looks_like_code(typed) is expected


def test_a_code_is_shown_in_two_halves() -> None:
    assert codes.shown("K7M4XV") == "K7M 4XV"


def test_a_code_is_spoken_in_spelling_words() -> None:
    # Spelling words: ICAO Annex 10 volume II, through a public reproduction.
    assert codes.spoken("K7M4XV") == "Kilo Seven Mike, Four X-ray Victor"
    assert codes.spoken("CFHJNP") == "Charlie Foxtrot Hotel, Juliett November Papa"
    assert codes.spoken("RTW019") == "Romeo Tango Whiskey, Zero One Nine"
