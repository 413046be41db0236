"""What a scanner typed is read, also where it and the host disagree about the keyboard."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.gear import codes, scanning

CHECKS = json.loads((Path(__file__).parents[1] / "reference" / "scanning.json").read_text())
LAYOUTS = CHECKS["KBD-04"]
US = LAYOUTS["us"]


def arrived(text: str, host: str) -> str:
    """Return what a scanner set to US types on a host of another layout."""
    return text.translate(str.maketrans(US, LAYOUTS[host]))


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        (typed, CHECKS[name]["code"])
        for name in ("KBD-01", "KBD-03")
        for typed in CHECKS[name]["typed"]
    ],
)
def test_what_a_scanner_types_on_a_german_or_french_host_is_read(typed: str, code: str) -> None:
    assert scanning.code_in(typed) == code


@settings(max_examples=60)
@given(
    st.text(codes.ALPHABET, min_size=5, max_size=5),
    st.sampled_from(["{}", "http://KB.LAN/{}", "http://192.168.10.20:8017/{}"]),
    st.sampled_from(["us", "de", "fr"]),
)
def test_every_code_is_read_on_every_host(data: str, form: str, host: str) -> None:
    code = data + codes.check_character(data)

    assert scanning.code_in(arrived(form.format(code), host)) == code


@pytest.mark.parametrize(
    "typed", ["", " ", "/", "CC-05", "K7M4XX", "everything looks pink", "http://x.test/", "\udcff"]
)
def test_what_holds_no_code_is_none(typed: str) -> None:
    assert scanning.code_in(typed) is None
