"""A closed fault tells its draft, and knows the entries that came of it."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from builders import a_model, a_place, an_item
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry
from sqlmodel import Session

from kb.entries import library, parse
from kb.entries.model import Entry
from kb.entries.words import Area
from kb.errors import ConflictError, NotFoundError
from kb.faults import attempts, closing, log, story, views
from kb.records.kinds import EntryStatus

HOLD = 7
FOUND = {"kind": "own failure", "note": "bad lead"}


@pytest.fixture
def fault(session: Session) -> Callable[..., int]:
    """Return what logs a fault on a camera."""
    a_place(session)
    a_model(session, name="Lens", equipment_class="camera")
    an_item(session, model="Lens", place="RR")
    an_entry(session)
    return lambda **over: a_fault(session, **{"text": "picture is\ngreenish"} | over)


def draft(session: Session, number: int) -> Entry:
    return parse.entry_from(story.draft_of(session, number, NOW, HOLD))


def test_a_closed_fault_is_told_with_all_that_was_tried(
    session: Session, fault: Callable[..., int]
) -> None:
    number = fault(entry="display-no-signal")
    a_try(session, number, "replug", outcome=FAILED)
    a_try(session, number, "restart", minutes=2.5)
    a_try(session, number, "swap", outcome=FAILED)
    closing.close_fault(session, number, FOUND, NOW)
    found = draft(session, number)

    assert found.symptoms == ("picture is greenish",)
    assert (found.area, found.classes) == (Area.DISPLAYS, ("camera",))
    assert [fix.title for fix in found.fixes] == ["Restart", "Replug it"]
    assert found.fixes[1].section.steps == ("Pull the lead, push it in.",)
    assert found.swap
    assert found.swap.title == "Swap the lead"
    assert found.cause_names == ("bad lead",)
    assert found.sources == (f"our own fault {number}", "common practice, no source")


def test_a_fault_without_an_entry_is_told_in_its_own_words(
    session: Session, fault: Callable[..., int]
) -> None:
    number = fault()
    typed = {"what": "tightened the ring", "minutes": 2.5, "outcome": "worked"}
    attempts.record_attempt(session, number, typed, NOW)
    closing.close_fault(session, number, {"kind": "handling"}, NOW)
    found = draft(session, number)

    assert [(fix.title, fix.takes_s) for fix in found.fixes] == [("Tightened the ring", 150)]
    assert found.cause_names == ("handling",)
    assert found.sources == (f"our own fault {number}",)


def test_a_fault_is_told_once_it_is_closed_by_somebody_or_by_the_hold_time(
    session: Session, fault: Callable[..., int]
) -> None:
    number = fault(entry="display-no-signal")
    with pytest.raises(ConflictError, match="not closed yet"):
        draft(session, number)
    a_try(session, number, "replug")
    with pytest.raises(ConflictError, match="not closed yet"):
        draft(session, number)
    held = story.draft_of(session, number, NOW + timedelta(days=HOLD), HOLD)

    assert parse.entry_from(held).cause_names == ("which cause?",)


def test_the_draft_has_a_slug_of_its_own(session: Session, fault: Callable[..., int]) -> None:
    number = fault(text="display no signal")
    closing.close_fault(session, number, FOUND, NOW)

    assert draft(session, number).slug == "display-no-signal-2"


def test_a_fault_knows_what_was_written_down_from_it(
    session: Session, fault: Callable[..., int]
) -> None:
    one, other = fault(), fault(entry="display-no-signal")
    for number in (one, other):
        closing.close_fault(session, number, FOUND, NOW)
        text = story.draft_of(session, number, NOW, HOLD)
        line = library.add_draft(session, text, NOW)
        story.point_at(session, number, line.slug, NOW)

    assert [x.slug for x in story.written_down(session, one)] == ["picture-is-greenish"]
    assert [x.slug for x in story.told_by(session, one)] == ["picture-is-greenish"]
    assert [x.slug for x in story.told_by(session, other)] == [
        "display-no-signal",
        "picture-is-greenish-2",
    ]
    kept = [views.fault_page(session, n, NOW, HOLD).line.entry for n in (one, other)]
    assert kept == ["picture-is-greenish", "display-no-signal"]
    library.set_status(session, "picture-is-greenish", EntryStatus.WITHDRAWN)
    assert story.written_down(session, one) == ()


def test_one_fault_is_not_taken_for_another_whose_number_begins_alike(
    session: Session, fault: Callable[..., int]
) -> None:
    numbers = [fault() for _ in range(12)]
    closing.close_fault(session, numbers[11], FOUND, NOW)
    library.add_draft(session, story.draft_of(session, numbers[11], NOW, HOLD), NOW)

    assert story.written_down(session, numbers[0]) == ()
    assert len(story.written_down(session, numbers[11])) == 1


def test_the_report_that_stays_of_two_tells_for_both(
    session: Session, fault: Callable[..., int]
) -> None:
    kept, gone = fault(), fault()
    log.merge_fault(session, gone, kept)
    closing.close_fault(session, kept, FOUND, NOW)
    library.add_draft(session, story.draft_of(session, gone, NOW, HOLD), NOW)

    assert len(story.written_down(session, gone)) == 1
    assert story.written_down(session, gone) == story.written_down(session, kept)


@pytest.mark.parametrize("asked", [story.written_down, story.told_by])
def test_a_fault_that_is_not_there_tells_nothing(
    session: Session, asked: Callable[[Session, int], object]
) -> None:
    with pytest.raises(NotFoundError):
        asked(session, 9)
    with pytest.raises(NotFoundError):
        draft(session, 9)
