"""What was written is read back, and what can't be read is named."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from kb.errors import StorageError
from kb.labels import output, sheet, verify
from kb.labels.font import DejaVuFace
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.labels.text import LabelText


@pytest.mark.parametrize("name", ["a.pdf", "a.png"])
def test_whole_sheets_are_read_back(
    name: str, mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace, tmp_path: Path
) -> None:
    made = sheet.lay_out([*mixed, *mixed], a4, "kb.lan", face)
    files = output.write(made, tmp_path / name)
    assert len(made.pages) == 2
    assert verify.read_back(made, files) == verify.Verdict(2 * (5 + 2 * 16), ())


@pytest.fixture
def pair(one_label: Callable[..., Stock], face: DejaVuFace) -> tuple[Sheet, Sheet]:
    """Return two sheets that differ in the code alone."""
    stock = one_label(60, 30)
    first, second = (
        sheet.lay_out([LabelText(code, "HD-01", "A")], stock, "kb.lan", face)
        for code in ("K7M4XV", "CFHJKT")
    )
    return first, second


def test_symbol_of_another_item_is_named(pair: tuple[Sheet, Sheet], tmp_path: Path) -> None:
    wanted, printed = pair
    where = "Page 1, HD-01, K7M 4XV, end A"
    files = output.write(printed, tmp_path / "a.pdf")
    assert verify.read_back(wanted, files) == verify.Verdict(
        0,
        (f"{where}: it reads http://KB.LAN/CFHJKT and should read http://KB.LAN/K7M4XV.",),
    )


def test_symbol_that_is_missing_is_named(pair: tuple[Sheet, Sheet], tmp_path: Path) -> None:
    wanted, _ = pair
    blank = replace(wanted, pages=(replace(wanted.pages[0], symbols=()),))
    files = output.write(blank, tmp_path / "a.png")
    assert verify.read_back(wanted, files) == verify.Verdict(
        0, ("Page 1, HD-01, K7M 4XV, end A: no symbol can be read there.",)
    )


def test_file_that_is_gone_or_damaged_is_named(pair: tuple[Sheet, Sheet], tmp_path: Path) -> None:
    with pytest.raises(StorageError, match=r"a\.pdf' can't be read back: No such file"):
        verify.read_back(pair[0], [tmp_path / "a.pdf"])
    (tmp_path / "a.pdf").write_text("%PDF-1.4 cut short")
    with pytest.raises(StorageError, match="it is no whole PDF"):
        verify.read_back(pair[0], [tmp_path / "a.pdf"])
