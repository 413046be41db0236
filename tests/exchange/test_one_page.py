"""One file holds the base, the open faults and the gear, and asks for nothing outside of it."""

import re
from datetime import datetime
from pathlib import Path

import pytest
from builders import an_item
from fault_builders import a_fault, an_entry, an_entry_text
from sqlmodel import Session

from kb.entries import library
from kb.errors import StorageError
from kb.exchange import one_page
from kb.records.settings import Settings
from kb.records.workspace import Workspace

EVIL = "</script><script>alert(1)</script><img src=x onerror=alert(1)>"


@pytest.fixture
def place(tmp_path: Path) -> Workspace:
    return Workspace(tmp_path / "house", Settings())


def test_all_of_it_is_in_one_file(session: Session, place: Workspace, at: datetime) -> None:
    an_entry(session, at=at)
    an_item(session, "CC-01", at=at)
    a_fault(session, at=at, text="green all over")
    text = one_page.html(session, place, at)

    title = library.entry_page(session, "display-no-signal").line.title
    for words in (title, "CC-01", "green all over", "2026-03-19 12:00"):
        assert words in text
    assert not re.search(r"""(src|href)=["'](?!#|/entries/|https?://)""", text)
    assert not re.search(r"@import|url\(|fetch\(|XMLHttpRequest", text)
    assert re.search(r"default-src 'none'; style-src 'sha256-[\w+/=]{44}'", text)


def test_nothing_that_was_typed_becomes_a_script(
    session: Session, place: Workspace, at: datetime
) -> None:
    an_item(session, "CC-01", at=at)
    a_fault(session, at=at, text=EVIL)
    text = an_entry_text("display-no-signal", title="<b>bold</b>")
    library.save_entry(session, text, at)
    page = one_page.html(session, place, at)

    assert page.count("<script>") == 1
    assert "<img" not in page
    assert "<b>bold" not in page


def test_what_cannot_be_written_is_told(
    session: Session, place: Workspace, at: datetime, tmp_path: Path
) -> None:
    assert one_page.write(session, place, tmp_path / "x.html", at) == (
        (tmp_path / "x.html").stat().st_size
    )
    with pytest.raises(StorageError, match="can't be written"):
        one_page.write(session, place, tmp_path / "none" / "x.html", at)
