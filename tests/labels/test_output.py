"""Labels are written whole or not at all, as what the file's ending says."""

from pathlib import Path

import pytest

from kb.errors import InvalidError, StorageError
from kb.labels import output, sheet
from kb.labels.font import DejaVuFace
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.labels.text import LabelText

LABEL = LabelText("K7M4XV", "CC-01")


@pytest.fixture
def made(a4: Stock, face: DejaVuFace) -> Sheet:
    return sheet.lay_out([LABEL], a4, "kb.lan", face)


@pytest.mark.parametrize(
    ("name", "begins"), [("a.pdf", b"%PDF-"), ("a.PDF", b"%PDF-"), ("a.png", b"\x89PNG")]
)
def test_ending_decides_the_kind(name: str, begins: bytes, made: Sheet, tmp_path: Path) -> None:
    assert output.write(made, tmp_path / name) == (tmp_path / name,)
    assert (tmp_path / name).read_bytes().startswith(begins)
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_several_pages_are_one_pdf_or_numbered_pictures(
    a4: Stock, face: DejaVuFace, tmp_path: Path
) -> None:
    two = sheet.lay_out([LABEL] * 22, a4, "kb.lan", face)
    assert output.write(two, tmp_path / "a.pdf") == (tmp_path / "a.pdf",)
    written = output.write(two, tmp_path / "a.png")
    assert written == (tmp_path / "a-1.png", tmp_path / "a-2.png")
    assert all(path.stat().st_size for path in written)


@pytest.mark.parametrize("name", ["labels", "labels.svg", "labels.pdf.txt"])
def test_other_endings_are_refused(name: str, made: Sheet, tmp_path: Path) -> None:
    with pytest.raises(InvalidError, match=r"ends in neither \.pdf nor \.png"):
        output.write(made, tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_file_is_replaced(made: Sheet, tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_text("old")
    output.write(made, tmp_path / "a.pdf")
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF-")


def test_folder_that_is_missing_is_named(made: Sheet, tmp_path: Path) -> None:
    with pytest.raises(
        StorageError, match=r"away/a\.pdf' can't be written: No such file"
    ) as caught:
        output.write(made, tmp_path / "away" / "a.pdf")
    assert caught.value.path == tmp_path / "away" / "a.pdf"


def test_failed_write_leaves_what_was_there_and_nothing_else(made: Sheet, tmp_path: Path) -> None:
    (tmp_path / "a.pdf").mkdir()
    with pytest.raises(StorageError, match="can't be written"):
        output.write(made, tmp_path / "a.pdf")
    assert [path.name for path in tmp_path.iterdir()] == ["a.pdf"]
    assert (tmp_path / "a.pdf").is_dir()
