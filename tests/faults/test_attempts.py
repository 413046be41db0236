"""A fix that was tried is kept with its outcome; a slip in that is mended, never deleted."""

from datetime import timedelta

import pytest
from builders import an_item
from fault_builders import FAILED, NOW, WORKED, a_fault, a_try, an_entry, an_entry_text
from sqlmodel import Session

from kb.crew import people
from kb.entries import library
from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.faults import attempts, closing, views
from kb.faults.views import AttemptLine, FaultPage
from kb.records import journal
from kb.records.kinds import EntryStatus, FaultState

MINUTE = timedelta(minutes=1)
SLUG = "display-no-signal"


@pytest.fixture
def fault(session: Session) -> int:
    """Return the number of a fault whose entry is known."""
    an_item(session)
    an_entry(session)
    return a_fault(session, entry=SLUG)


def page(session: Session, number: int) -> FaultPage:
    return views.fault_page(session, number, NOW, 7)


def made(session: Session, number: int) -> tuple[AttemptLine, ...]:
    return page(session, number).attempts


def refused(session: Session, fault: int, **values: object) -> str:
    with pytest.raises(InvalidError) as error:
        attempts.record_attempt(session, fault, {"outcome": WORKED, **values}, NOW)
    return error.value.message


def test_a_fix_that_worked_restores_the_fault(session: Session, fault: int) -> None:
    number = a_try(session, fault, minutes="1.5", at=NOW + MINUTE)
    (line,) = made(session, fault)
    assert (line.number, line.entry, line.fix, line.what) == (number, SLUG, "replug", "")
    assert (line.outcome, line.minutes, line.by, line.at) == (WORKED, 1.5, "M.O.", NOW + MINUTE)
    found = page(session, fault)
    assert (found.line.state, found.restored_at) == (FaultState.WATCHED, NOW + MINUTE)


def test_a_fix_that_did_not_work_leaves_it_open(session: Session, fault: int) -> None:
    a_try(session, fault, outcome=FAILED)
    assert page(session, fault).line.state is FaultState.OPEN


def test_one_that_failed_after_one_that_worked_opens_it_again(
    session: Session, fault: int
) -> None:
    a_try(session, fault)
    a_try(session, fault, "restart", outcome=FAILED, at=NOW + MINUTE)
    assert page(session, fault).line.state is FaultState.OPEN
    # Told later, but made before: the last one made decides.
    a_try(session, fault, "swap", at=NOW + MINUTE / 2)
    assert page(session, fault).line.state is FaultState.OPEN
    assert [line.fix for line in made(session, fault)] == ["replug", "swap", "restart"]


def test_a_fix_is_one_of_the_entry(session: Session, fault: int) -> None:
    told = refused(session, fault, fix="reboot")
    assert told == f"fix: '{SLUG}' has no fix 'reboot'. It has: replug, restart, swap."
    library.save_entry(session, an_entry_text("no-spare", swap=None), NOW)
    assert "It has: replug, restart." in refused(session, fault, fix="swap", entry="no-spare")
    for fix in ("replug", "restart", "swap"):
        a_try(session, fault, fix)


def test_the_first_fix_names_the_entry_of_a_fault_that_has_none(session: Session) -> None:
    an_item(session)
    an_entry(session)
    library.save_entry(session, an_entry_text("other-one"), NOW)
    number = a_fault(session)
    assert refused(session, number, fix="replug") == "entry: say of which entry the fix is."
    a_try(session, number, entry=SLUG, outcome=FAILED)
    assert page(session, number).line.entry == SLUG
    # Another entry's fix may be tried as well; the fault keeps its own.
    a_try(session, number, entry="other-one")
    assert page(session, number).line.entry == SLUG
    assert [line.entry for line in made(session, number)] == [SLUG, "other-one"]


def test_what_is_in_no_entry_is_told_in_words(session: Session, fault: int) -> None:
    a_try(session, fault, "", what="tapped on it")
    (line,) = made(session, fault)
    assert (line.entry, line.fix, line.what) == ("", "", "tapped on it")
    assert refused(session, fault) == "fix: name the fix of an entry, or say what was done."


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"outcome": "maybe"}, "outcome"),
        ({"minutes": -1}, "minutes"),
        ({"minutes": "soon"}, "minutes"),
        ({"what": "a\x07b"}, "what"),
        ({"cure": "yes"}, "cure"),
    ],
)
def test_a_field_that_is_wrong_is_named(
    session: Session, fault: int, values: dict[str, object], field: str
) -> None:
    assert refused(session, fault, fix="replug", **values).startswith(f"{field}: ")
    assert made(session, fault) == ()


def test_nothing_is_tried_before_the_report_or_after_the_closing(
    session: Session, fault: int
) -> None:
    with pytest.raises(InvalidError, match="before the fault was noticed"):
        a_try(session, fault, at=NOW - MINUTE)
    closing.close_fault(session, fault, {"kind": "unknown"}, NOW)
    with pytest.raises(ConflictError, match=r"is closed\. Reopen it first"):
        a_try(session, fault)


def test_somebody_else_may_have_tried_it(session: Session, fault: int) -> None:
    people.add_person(session, {"name": "T.R."})
    a_try(session, fault, by="T.R.")
    assert made(session, fault)[0].by == "T.R."
    with pytest.raises(NotFoundError, match=r"No person 'X\.Y\.'"):
        a_try(session, fault, by="X.Y.")


def test_a_fix_of_a_withdrawn_entry_still_counts_as_tried(session: Session, fault: int) -> None:
    library.set_status(session, SLUG, EntryStatus.WITHDRAWN)
    a_try(session, fault)
    assert made(session, fault)[0].entry == SLUG


def test_the_wrong_button_is_put_right(session: Session, fault: int) -> None:
    number = a_try(session, fault)
    attempts.correct_attempt(session, number, FAILED)
    assert page(session, fault).line.state is FaultState.OPEN
    with pytest.raises(ConflictError, match="says 'did not work' already"):
        attempts.correct_attempt(session, number, FAILED)
    attempts.correct_attempt(session, number, WORKED)
    assert page(session, fault).restored_at == NOW
    told = [step.changes["outcome"] for step in journal.steps(session, "attempt", number)]
    assert told == [(None, WORKED), (WORKED, FAILED), (FAILED, WORKED)]


def test_what_was_never_done_is_struck_out_and_stays_readable(
    session: Session, fault: int
) -> None:
    first = a_try(session, fault)
    second = a_try(session, fault, "restart", outcome=FAILED, at=NOW + MINUTE)
    attempts.strike_attempt(session, second, " wrong fault ", NOW + 2 * MINUTE)
    assert [line.struck for line in made(session, fault)] == ["", "wrong fault"]
    # The one before it is the last now.
    assert page(session, fault).restored_at == NOW
    attempts.strike_attempt(session, first, "never done", NOW)
    assert page(session, fault).line.state is FaultState.OPEN
    with pytest.raises(ConflictError, match="was struck out"):
        attempts.strike_attempt(session, first, "again", NOW)
    with pytest.raises(ConflictError, match="was struck out"):
        attempts.correct_attempt(session, first, FAILED)


@pytest.mark.parametrize("reason", ["", "  ", "a\x1bb", "x" * 301])
def test_striking_out_asks_for_a_reason(session: Session, fault: int, reason: str) -> None:
    number = a_try(session, fault)
    with pytest.raises(InvalidError, match=r"^reason: "):
        attempts.strike_attempt(session, number, reason, NOW)


def test_a_slip_on_a_closed_fault_leaves_it_closed(session: Session, fault: int) -> None:
    number = a_try(session, fault)
    closing.close_fault(session, fault, {"kind": "unknown"}, NOW + MINUTE)
    attempts.correct_attempt(session, number, FAILED)
    found = page(session, fault)
    assert (found.line.state, found.restored_at) == (FaultState.CLOSED, NOW)


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, fault: int) -> None:
    number = a_try(session, fault)
    seen = made(session, fault)[0].version
    attempts.correct_attempt(session, number, FAILED, seen)
    told = "outcome 'worked' -> 'did not work'"
    with pytest.raises(ConflictError, match=told):
        attempts.correct_attempt(session, number, WORKED, seen)
    with pytest.raises(ConflictError, match=told):
        attempts.strike_attempt(session, number, "wrong fault", NOW, seen)


def test_an_attempt_that_is_none_is_told(session: Session, fault: int) -> None:
    # The last one is longer than any key that a database holds.
    for unknown in (77, 2**31, 10**30):
        with pytest.raises(NotFoundError, match="No attempt"):
            attempts.correct_attempt(session, unknown, WORKED)
        with pytest.raises(NotFoundError, match="No attempt"):
            attempts.strike_attempt(session, unknown, "wrong", NOW)
    with pytest.raises(NotFoundError, match="No fault"):
        a_try(session, fault + 1)
