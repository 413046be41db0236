"""An entry learns the words of the faults that its fixes solved, and unlearns them."""

from datetime import timedelta
from pathlib import Path

import pytest
from builders import a_place, an_item
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry, an_entry_text
from indexed import CLOCK
from sqlmodel import Session

from kb.entries import library
from kb.faults import attempts, closing
from kb.search import learned, query, refresh

SLUG = "display-no-signal"
OTHER = "audio-hum"
NEW = (
    "the vicar's mirror shows only soot",
    "soot all over the mirror at the lectern",
    "the lectern mirror has gone sooty",
    "mirror full of soot since noon",
    "nothing but soot in the big mirror",
)
SIXTH = "the mirror is sooty"


@pytest.fixture
def studio(session: Session) -> Session:
    a_place(session)
    an_item(session, "CC-01", place="RR")
    an_entry(session, SLUG)
    text = an_entry_text(OTHER, title="It hums", symptoms=("it hums again, mirror or not",))
    library.save_entry(session, text, NOW)
    return session


def first(session: Session, folder: Path, text: str = SIXTH) -> str:
    """Return the entry that a search finds first."""
    assert refresh.catch_up(session, folder, CLOCK)
    return next(hit.key for hit in query.search(folder, text).hits if hit.kind == "entry")


def solved(session: Session, text: str) -> int:
    """Return the number of a fault that the entry's fix solved."""
    number = a_fault(session, text=text, entry=SLUG, noticed_at=NOW - timedelta(days=1))
    a_try(session, number)
    closing.close_fault(session, number, {"kind": "own failure"}, NOW)
    return number


def test_five_faults_closed_in_new_words_teach_the_sixth_wording(
    studio: Session, folder: Path
) -> None:
    assert first(studio, folder) == OTHER

    for text in NEW:
        solved(studio, text)

    assert first(studio, folder) == SLUG


def test_a_false_closing_is_undone_and_the_words_go(studio: Session, folder: Path) -> None:
    number = solved(studio, NEW[0])
    assert first(studio, folder, "vicar's soot") == SLUG

    closing.reopen_fault(studio, number, NOW)

    assert refresh.catch_up(studio, folder, CLOCK)
    assert [h for h in query.search(folder, "vicar's soot").hits if h.kind == "entry"] == []


@pytest.mark.parametrize("undo", ["struck", "did not work"])
def test_only_the_fix_that_worked_last_teaches(studio: Session, undo: str) -> None:
    number = a_fault(studio, text=NEW[0], entry=SLUG)
    tried = a_try(studio, number)
    closing.close_fault(studio, number, {"kind": "own failure"}, NOW)
    key = next(iter(learned.of_entries(studio, {1, 2})))

    if undo == "struck":
        attempts.strike_attempt(studio, tried, "a slip", NOW)
    else:
        attempts.correct_attempt(studio, tried, FAILED)

    assert learned.of_entries(studio, {key}) == {}


def test_what_is_learned_is_capped(studio: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(learned, "FAULTS_LIMIT", 2)
    monkeypatch.setattr(learned, "TEXT_LIMIT", 10)
    for text in NEW[:3]:
        solved(studio, text)

    (texts,) = learned.of_entries(studio, {1, 2}).values()
    assert texts == (NEW[2][:10], NEW[1][:10])
