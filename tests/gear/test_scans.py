"""Codes are found in what scanners type, also where the keyboard is another country's."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.gear import codes, scans

FILE = Path(__file__).parents[1] / "reference" / "scanning.json"
REFERENCE = json.loads(FILE.read_text(encoding="utf-8"))
SET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"  # ISO/IEC 18004, alphanumeric


def test_addresses_typed_on_other_keyboards_are_read() -> None:
    row = REFERENCE["KBD-01"]
    for typed in (row["inputs"]["printed"], *row["inputs"]["typed_de_fr"]):
        assert scans.code_of_address(typed) == row["expected"]["code"]


def test_bare_codes_and_plain_addresses_are_read() -> None:
    row = REFERENCE["KBD-03"]
    bare, address = zip(row["inputs"]["printed"], row["inputs"]["typed_de_fr"], strict=True)
    for typed in (bare[0], *bare[1]):
        assert scans.bare_code(typed) == row["expected"]["code"]
    for typed in (address[0], *address[1]):
        assert scans.code_of_address(typed) == row["expected"]["code"]


def test_characters_that_arrive_right_are_those_of_the_layouts() -> None:
    expected = REFERENCE["KBD-04"]["expected"]
    for host, table in scans.TYPED_ON.items():
        right = [character for character in SET if character.translate(table) == character]
        assert set(right) == set(expected[host])
    assert set(expected["all"]) == set(expected["DE"]) & set(expected["FR"])


@settings(max_examples=60)
@given(st.text(codes.ALPHABET, min_size=5, max_size=5), st.sampled_from(["DE", "FR"]))
def test_any_address_is_read_on_any_keyboard(data: str, host: str) -> None:
    code = data + codes.check_character(data)
    printed = f"http://192.168.1.20:8080/{code}"
    assert scans.code_of_address(printed) == code
    assert scans.code_of_address(printed.translate(scans.TYPED_ON[host])) == code


@pytest.mark.parametrize(
    "typed", ["no sound", "http://kb.lan/", "http://kb.lan/K7M4XW", "http://kb.lan/a/K7M4XV", ""]
)
def test_other_text_is_no_scan(typed: str) -> None:
    assert scans.code_of_address(typed) is None
    assert scans.bare_code(typed) is None
