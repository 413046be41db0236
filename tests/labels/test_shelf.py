"""Stocks are found by name, the crew's own first."""

from pathlib import Path

import pytest

from kb.errors import InvalidError, NotFoundError, StorageError
from kb.labels import shelf

SHIPPED = Path(__file__).parents[2] / "labels"


def test_every_shipped_stock_can_be_read() -> None:
    found = shelf.names([SHIPPED])
    assert shelf.DEFAULT in found
    for name in found:
        assert shelf.find(name, [SHIPPED]).name == name


def test_crews_own_stock_hides_the_shipped_one_of_that_name(tmp_path: Path) -> None:
    text = (SHIPPED / f"{shelf.DEFAULT}.toml").read_text(encoding="utf-8")
    (tmp_path / f"{shelf.DEFAULT}.toml").write_text(text.replace("dpi = 300", "dpi = 600"))
    assert shelf.find(shelf.DEFAULT, [tmp_path, SHIPPED]).dpi == 600
    assert shelf.find(shelf.DEFAULT, [SHIPPED, tmp_path]).dpi == 300
    assert shelf.names([tmp_path, SHIPPED]) == shelf.names([SHIPPED])


@pytest.mark.parametrize("name", ["a3", "", f"../labels/{shelf.DEFAULT}", f"{shelf.DEFAULT}.toml"])
def test_unknown_stock_is_refused_with_those_on_file(name: str) -> None:
    with pytest.raises(NotFoundError, match=f"On file are: .*{shelf.DEFAULT}"):
        shelf.find(name, [SHIPPED])


def test_folder_that_is_missing_holds_no_stock(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="On file are: none"):
        shelf.find("a4", [tmp_path / "away"])


def test_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "odd.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(InvalidError, match="no UTF-8 text"):
        shelf.find("odd", [tmp_path])


def test_file_that_cannot_be_read_is_a_storage_error(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    with pytest.raises(StorageError, match="can't be read"):
        shelf.find("folder", [tmp_path])
