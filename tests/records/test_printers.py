"""Offsets of printers are kept in the settings and read back as they were."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import checking
from kb.errors import InvalidError
from kb.records import printers
from kb.records.printers import Offset
from kb.records.settings import Settings

NAMES = st.text("ab cé-1", min_size=1, max_size=20).map(str.strip).filter(bool)
MILLIMETRES = st.integers(-2000, 2000).map(lambda number: number / 100)


@settings(max_examples=50)
@given(st.dictionaries(NAMES, st.builds(Offset, MILLIMETRES, MILLIMETRES), max_size=4))
def test_what_is_written_is_read_back(kept: dict[str, Offset]) -> None:
    assert printers.read(printers.written(kept)) == kept


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("office", "'office' is no printer with its offset"),
        ("office: 1", "'office: 1' is no printer with its offset"),
        ("office: a b", "is no printer with its offset"),
        ("office: 1 nan", "nan mm is no offset"),
        ("office: 1 21", "21 mm is no offset of a printer, those are up to 20 mm"),
        (": 1 2", "'' is no name for a printer"),
    ],
)
def test_what_is_no_offset_is_refused_by_the_settings(typed: str, said: str) -> None:
    with pytest.raises(InvalidError, match="printers: ") as caught:
        checking.check(Settings, {"printers": typed})
    assert said in caught.value.message


def test_settings_keep_them_in_one_form() -> None:
    kept = checking.check(Settings, {"printers": " roll:0 0.50;office : 0.8  -1.2 ;"})
    assert kept.printers == "office: 0.8 -1.2; roll: 0 0.5"
    assert checking.check(Settings, {"printers": ""}).printers is None
