"""The evidence behind a fix, out of what was logged and tried."""

from datetime import timedelta

import pytest
from builders import an_item
from fault_builders import FAILED, NOW, WORKED, a_fault, a_try, an_entry
from sqlmodel import Session

from kb.entries import evidence, library
from kb.entries.outcomes import Evidence
from kb.faults import attempts, closing, log

DAY = timedelta(days=1)
LATER = NOW + 30 * DAY
SLUG = "display-no-signal"
HELD, LOST = Evidence(1, 1, (), NOW), Evidence(1, 0, (), NOW)


@pytest.fixture
def fault(session: Session) -> int:
    an_item(session)
    an_item(session, "CC-02")
    an_entry(session)
    return a_fault(session, entry=SLUG)


def behind(session: Session, slug: str = SLUG, days: int = 30) -> dict[str, Evidence]:
    key = library.entry_by(session, slug).key
    return evidence.of_entries(session, [key], NOW + days * DAY, 7).get(key, {})


def test_what_nobody_tried_has_none(session: Session, fault: int) -> None:
    assert behind(session) == {}
    a_try(session, fault, "", what="tapped on it")
    assert behind(session) == {}
    assert evidence.of_entries(session, [], NOW, 7) == {}


def test_each_fix_has_its_own(session: Session, fault: int) -> None:
    a_try(session, fault, outcome=FAILED)
    a_try(session, fault, "swap", at=NOW + DAY)
    assert behind(session) == {"replug": LOST, "swap": Evidence(1, 1, (), NOW + DAY)}
    assert behind(session, days=3)["swap"] == Evidence(0, 0, (NOW + 8 * DAY,), NOW + DAY)


def test_it_did_not_hold_where_the_same_fault_came_back_on_the_item(
    session: Session, fault: int
) -> None:
    a_try(session, fault)
    a_fault(session, "CC-02", NOW + DAY, entry=SLUG)
    a_fault(session, "CC-01", NOW + DAY)  # another fault, of no entry
    assert behind(session) == {"replug": HELD}
    again = a_fault(session, "CC-01", NOW + 2 * DAY, entry=SLUG)
    assert behind(session) == {"replug": LOST}
    # It was reported twice.
    log.merge_fault(session, again, fault)
    assert behind(session) == {"replug": HELD}


def test_it_did_not_hold_where_another_attempt_was_needed(session: Session, fault: int) -> None:
    a_try(session, fault)
    slip = a_try(session, fault, "", what="hit it", outcome=FAILED, at=NOW + DAY)
    assert behind(session) == {"replug": LOST}
    attempts.strike_attempt(session, slip, "wrong fault", LATER)
    assert behind(session) == {"replug": HELD}


def test_an_attempt_struck_out_or_retold_is_recounted(session: Session, fault: int) -> None:
    number = a_try(session, fault)
    attempts.correct_attempt(session, number, FAILED)
    assert behind(session) == {"replug": LOST}
    attempts.correct_attempt(session, number, WORKED)
    assert behind(session) == {"replug": HELD}
    attempts.strike_attempt(session, number, "never done", LATER)
    assert behind(session) == {}


def test_it_did_not_hold_where_the_fault_was_opened_again(session: Session, fault: int) -> None:
    a_try(session, fault)
    closing.close_fault(session, fault, {"kind": "unknown"}, NOW + DAY)
    assert behind(session) == {"replug": HELD}
    closing.correct_cause(session, fault, {"kind": "handling"})
    assert behind(session) == {"replug": HELD}
    closing.reopen_fault(session, fault, NOW + 2 * DAY)
    assert behind(session) == {"replug": LOST}
    closing.close_fault(session, fault, {"kind": "unknown"}, NOW + 3 * DAY)
    assert behind(session) == {"replug": LOST}


def test_the_evidence_is_that_of_the_fix_s_entry_not_of_the_fault_s(
    session: Session, fault: int
) -> None:
    an_entry(session, "other-one")
    a_try(session, fault, entry="other-one")
    assert behind(session) == {}
    assert behind(session, "other-one") == {"replug": HELD}
