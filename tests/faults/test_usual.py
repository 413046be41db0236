"""What is usually wrong with things of a class."""

import pytest
from builders import a_model, an_item
from fault_builders import NOW, a_fault, an_entry_text
from sqlmodel import Session

from kb.entries import library
from kb.faults import usual


@pytest.fixture(autouse=True)
def _studio(session: Session) -> None:
    for slug, classes in (
        ("display-no-signal", ("display",)),
        ("display-flicker", ("cable", "display")),
        ("audio-hum", ("audio-mixer",)),
    ):
        title = f"Title of {slug}"
        library.save_entry(session, an_entry_text(slug, title=title, classes=classes), NOW)
    display = a_model(session, maker="Aspen", name="55", equipment_class="display")
    an_item(session, "DP-01", model=display)
    an_item(session, "DP-02", model=display)
    an_item(session, "XX-01", model=a_model(session, maker="M", name="N", equipment_class=None))


def slugs(session: Session, item: str, limit: int = 6) -> list[str]:
    return [one.entry for one in usual.usual(session, item, limit)]


def test_an_entry_of_this_class_alone_comes_before_one_of_several(session: Session) -> None:
    assert slugs(session, "DP-01") == ["display-no-signal", "display-flicker"]
    assert usual.usual(session, "DP-01")[0].words == "Title of display-no-signal"
    assert slugs(session, "DP-01", limit=1) == ["display-no-signal"]


def test_what_happened_here_on_any_of_the_class_comes_first(session: Session) -> None:
    a_fault(session, "DP-02", entry="display-flicker")

    assert slugs(session, "DP-01") == ["display-flicker", "display-no-signal"]


def test_only_the_newest_faults_are_counted(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(usual, "_NEWEST", 1)
    for entry in ("display-flicker", "display-flicker", "display-no-signal"):
        a_fault(session, "DP-02", entry=entry, noticed_at=NOW)

    assert slugs(session, "DP-01")[0] == "display-no-signal"


def test_a_thing_of_no_class_has_nothing_usual(session: Session) -> None:
    assert usual.usual(session, "XX-01") == ()
