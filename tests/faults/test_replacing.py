"""A spare tried in the place of a unit: the swap and how it ended, in one act."""

from datetime import timedelta

import pytest
from builders import a_place, an_item
from fault_builders import NOW, a_fault, an_entry
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError
from kb.faults import closing, replacing, views
from kb.faults.views import FaultPage
from kb.gear import loans, pages
from kb.records.kinds import FaultState

LATER = NOW + timedelta(minutes=5)


@pytest.fixture
def fault(session: Session) -> int:
    a_place(session)
    a_place(session, "C1", within="RR", kind="drawer")
    an_item(session, "CC-01", place="RR")
    an_item(session, "CC-02", place="C1")
    an_entry(session)
    return a_fault(session)


def replace(session: Session, number: int, **over: object) -> FaultPage:
    values = {"spare": "CC-02", "outcome": "worked", **over}
    replacing.replace_unit(session, number, values, LATER)
    return views.fault_page(session, number, LATER, 7)


def test_the_spare_is_in_and_the_fault_watched(session: Session, fault: int) -> None:
    page = replace(session, fault, entry="display-no-signal")

    (made,) = page.attempts
    assert (made.fix, made.title, made.outcome) == ("swap", "Swap the lead", "worked")
    assert page.line.state is FaultState.WATCHED
    assert page.line.item == "CC-01"  # it was seen there, whatever stands there now
    assert pages.item_page(session, "CC-02").line.place == "RR"
    assert pages.item_page(session, "CC-01").line.state == "fit"


def test_the_unit_is_in_doubt_where_that_was_said(session: Session, fault: int) -> None:
    replace(session, fault, doubtful="true")

    out = pages.item_page(session, "CC-01")
    assert (out.line.state, out.line.place) == ("doubtful", "RR/C1")
    assert out.state_reason == f"swapped in fault {fault}"


def test_without_an_entry_it_is_told_in_words_and_one_that_did_not_help_leaves_it_open(
    session: Session, fault: int
) -> None:
    page = replace(session, fault, outcome="did not work")

    assert page.attempts[0].title == "put CC-02 in place of CC-01"
    assert page.line.state is FaultState.OPEN


def test_a_spare_that_can_t_come_in_leaves_no_attempt_behind(session: Session, fault: int) -> None:
    loans.lend(session, "CC-02", {"borrower": "a theatre"}, NOW)

    with pytest.raises(ConflictError, match="a theatre"), session.begin_nested():
        replace(session, fault)

    assert views.fault_page(session, fault, LATER, 7).attempts == ()


def test_a_fault_on_no_item_has_no_unit_to_replace(session: Session, fault: int) -> None:
    nowhere = a_fault(session, None, place="RR")

    with pytest.raises(InvalidError, match="no item"):
        replace(session, nowhere)
    closing.close_fault(session, fault, {"kind": "unknown"}, LATER)
    with pytest.raises(ConflictError, match="closed"):
        replace(session, fault)
