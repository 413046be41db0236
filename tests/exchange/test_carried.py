"""What one carries: one file that asks for nothing, with no way in for script."""

import re
from pathlib import Path

import pytest
from builders import an_item
from fault_builders import NOW, an_entry, an_entry_text
from sqlmodel import Session

from kb.entries import library
from kb.errors import InvalidError, StorageError
from kb.exchange import carried
from kb.records.settings import Settings

ZONE = Settings().timezone


def test_it_holds_accepted_entries_and_gear_and_asks_for_nothing(session: Session) -> None:
    an_item(session, "CC-01", note="loud")
    an_entry(session)
    library.add_draft(session, an_entry_text("green-wall", title="Green wall"), NOW)

    page = carried.page(session, NOW, ZONE)

    assert page.count("<details ") == 1
    assert "Green wall" not in page
    assert "<td>CC-01</td>" in page
    assert re.findall(r"(?:src|href|action)=|@import|url\(|fetch|XMLHttp", page) == []


def test_names_cannot_bring_script_in(session: Session) -> None:
    an_item(session, '<img src=x onerror="alert(1)">')
    page = carried.page(session, NOW, ZONE)

    assert "<img" not in page
    assert page.count("<script") == 1


def test_it_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    there = tmp_path / "a.html"
    carried.write("one", there)
    carried.write("two", there)

    assert there.read_text() == "two"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]
    with pytest.raises(InvalidError, match="doesn't end in"):
        carried.write("x", tmp_path / "a.txt")
    (tmp_path / "b.html").mkdir()
    with pytest.raises(StorageError):
        carried.write("x", tmp_path / "b.html")
