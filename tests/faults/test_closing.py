"""A fault is closed with its cause and the item to blame, and opened again."""

from datetime import timedelta
from typing import Any

import pytest
from builders import a_place, an_item
from fault_builders import NOW, a_fault, a_try, an_entry
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.faults import closing, log, views
from kb.faults.views import FaultPage
from kb.gear import items
from kb.records import journal
from kb.records.kinds import CauseKind, FaultState

HOUR = timedelta(hours=1)
LATER = NOW + HOUR


@pytest.fixture
def fault(session: Session) -> int:
    """Return the number of a fault on CC-01; CC-02 and a place are there too."""
    a_place(session)
    an_item(session, place="RR")
    an_item(session, "CC-02")
    return a_fault(session)


def page(session: Session, number: int) -> FaultPage:
    return views.fault_page(session, number, LATER, 7)


def close(session: Session, number: int, seen: int | None = None, **values: object) -> FaultPage:
    closing.close_fault(session, number, {"kind": "unknown", **values}, LATER, seen)
    return page(session, number)


@pytest.mark.parametrize("kind", CauseKind)
@pytest.mark.parametrize(
    ("typed", "blamed"), [(None, "CC-01"), ("CC-02", "CC-02"), ("none", ""), ("None", "")]
)
def test_a_cause_is_a_kind_and_an_item_or_none_of_ours(
    session: Session, fault: int, kind: CauseKind, typed: str | None, blamed: str
) -> None:
    given: dict[str, Any] = {} if typed is None else {"item": typed}
    if kind in (CauseKind.OWN_FAILURE, CauseKind.SETTING_DELIVERED) and not blamed:
        with pytest.raises(InvalidError, match=f"'{kind.value}' needs the item to blame"):
            close(session, fault, kind=kind.value, **given)
        assert page(session, fault).line.state is FaultState.OPEN
        return
    found = close(session, fault, kind=kind.value, note=" as told ", **given)
    assert (found.line.cause_kind, found.line.cause_item) == (kind.value, blamed)
    assert (found.cause_note, found.closed_at) == ("as told", LATER)
    assert found.line.state is FaultState.CLOSED


@pytest.mark.parametrize("kind", CauseKind)
def test_a_fault_at_a_place_blames_nothing_by_itself(session: Session, kind: CauseKind) -> None:
    a_place(session)
    an_item(session)
    number = a_fault(session, None, place="RR")
    if kind in (CauseKind.OWN_FAILURE, CauseKind.SETTING_DELIVERED):
        with pytest.raises(InvalidError, match="needs the item to blame"):
            close(session, number, kind=kind.value)
        assert close(session, number, kind=kind.value, item="CC-01").line.cause_item == "CC-01"
    else:
        assert close(session, number, kind=kind.value).line.cause_item == ""


def test_the_item_to_blame_may_be_one_that_was_retired(session: Session, fault: int) -> None:
    items.set_state(session, "CC-02", "retired", NOW, "worn out")
    assert close(session, fault, item="CC-02").line.cause_item == "CC-02"


@pytest.mark.parametrize(
    ("tried", "told", "restored"),
    [
        (None, None, LATER),  # nobody said: now at the latest
        (NOW + HOUR / 4, None, NOW + HOUR / 4),  # by the fix that worked
        (NOW + HOUR / 4, NOW + HOUR / 2, NOW + HOUR / 2),  # by what is told at closing
        (None, NOW, NOW),  # at once
        (None, LATER, LATER),
    ],
)
def test_it_was_restored_when_somebody_said(
    session: Session, fault: int, tried: object, told: object, restored: object
) -> None:
    an_entry(session)
    if tried:
        a_try(session, fault, at=tried, entry="display-no-signal")  # type: ignore[arg-type]
    given: dict[str, Any] = {"restored_at": told} if told else {}
    assert close(session, fault, **given).restored_at == restored


@pytest.mark.parametrize("told", [NOW - timedelta(seconds=1), LATER + timedelta(seconds=1)])
def test_it_was_restored_between_the_report_and_now(
    session: Session, fault: int, told: object
) -> None:
    with pytest.raises(InvalidError, match="between the report and the closing"):
        close(session, fault, restored_at=told)


def test_the_minutes_lost_may_be_told_at_closing(session: Session) -> None:
    an_item(session)
    known, unknown = a_fault(session, minutes_lost=4), a_fault(session)
    assert close(session, known).line.minutes_lost == 4
    assert close(session, unknown, minutes_lost=0).line.minutes_lost == 0


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"kind": "bad luck"}, "kind"),
        ({"item": " "}, "item"),
        ({"minutes_lost": 10_001}, "minutes lost"),
        ({"note": "\x00"}, "note"),
        ({"because": "x"}, "because"),
    ],
)
def test_a_field_that_is_wrong_is_named(
    session: Session, fault: int, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(InvalidError, match=f"^{field}: "):
        close(session, fault, **values)


def test_an_item_that_is_none_of_ours_is_told(session: Session, fault: int) -> None:
    with pytest.raises(NotFoundError, match="No item 'CC-99'"):
        close(session, fault, item="CC-99")


def test_a_closed_fault_is_closed_once(session: Session, fault: int) -> None:
    close(session, fault, kind="handling")
    with pytest.raises(
        ConflictError, match=r"closed already\. To name another cause: kitlore fault"
    ):
        close(session, fault)
    assert page(session, fault).line.cause_kind == CauseKind.HANDLING


def test_opened_again_it_has_no_cause_but_a_history(session: Session, fault: int) -> None:
    close(session, fault, kind="handling", note="trodden on")
    closing.reopen_fault(session, fault, LATER)
    found = page(session, fault)
    assert found.line.state is FaultState.OPEN
    assert (found.restored_at, found.closed_at) == (None, None)
    assert (found.line.cause_kind, found.line.cause_item, found.cause_note) == ("", "", "")
    last = journal.steps(session, "fault", fault)[-1]
    assert last.changes["cause_note"] == ("trodden on", None)
    assert close(session, fault, kind="own failure").line.cause_kind == CauseKind.OWN_FAILURE


def test_another_cause_keeps_when_it_worked_again(session: Session, fault: int) -> None:
    early = NOW + HOUR / 4
    close(session, fault, kind="handling", note="trodden on", restored_at=early, minutes_lost=3)
    closing.correct_cause(session, fault, {"kind": "own failure", "item": "CC-02"})
    found = page(session, fault)
    assert (found.restored_at, found.closed_at, found.reopened_at) == (early, LATER, None)
    assert (found.line.cause_kind, found.line.cause_item) == ("own failure", "CC-02")
    assert (found.cause_note, found.line.minutes_lost) == ("", 3)
    last = journal.steps(session, "fault", fault)[-1]
    assert last.changes["cause_kind"] == ("handling", "own failure")
    assert "restored_at" not in last.changes


def test_another_cause_is_checked_like_the_first(session: Session, fault: int) -> None:
    with pytest.raises(ConflictError, match=r"has no cause yet\. Close it"):
        closing.correct_cause(session, fault, {"kind": "handling"})
    seen = page(session, fault).version
    close(session, fault, kind="handling")
    with pytest.raises(InvalidError, match="needs the item to blame"):
        closing.correct_cause(session, fault, {"kind": "own failure", "item": "none"})
    values = {"kind": "handling", "restored_at": LATER + HOUR}
    with pytest.raises(InvalidError, match="between the report and the closing"):
        closing.correct_cause(session, fault, values)
    with pytest.raises(ConflictError, match="was changed after you looked"):
        closing.correct_cause(session, fault, {"kind": "unknown"}, seen)


def test_what_came_back_is_well_when_it_was_closed_anew(session: Session, fault: int) -> None:
    close(session, fault, restored_at=NOW + HOUR / 4)
    closing.reopen_fault(session, fault, LATER)
    assert page(session, fault).reopened_at == LATER
    closing.close_fault(session, fault, {"kind": "handling"}, LATER + HOUR)
    found = page(session, fault)
    assert (found.restored_at, found.reopened_at) == (LATER + HOUR, LATER)


def test_opened_again_by_a_slip_it_was_well_all_the_time(session: Session, fault: int) -> None:
    early = NOW + HOUR / 4
    close(session, fault, restored_at=early)
    closing.reopen_fault(session, fault, LATER)
    values = {"kind": "handling", "restored_at": early}
    closing.close_fault(session, fault, values, LATER + HOUR)
    found = page(session, fault)
    assert (found.restored_at, found.reopened_at) == (early, None)


def test_a_watched_fault_is_opened_again_and_an_open_one_is_not(
    session: Session, fault: int
) -> None:
    an_entry(session)
    with pytest.raises(ConflictError, match="is open already"):
        closing.reopen_fault(session, fault, NOW)
    a_try(session, fault, entry="display-no-signal", at=LATER)
    with pytest.raises(InvalidError, match="before it was restored"):
        closing.reopen_fault(session, fault, NOW)
    closing.reopen_fault(session, fault, LATER + timedelta(days=30))
    assert page(session, fault).line.state is FaultState.OPEN


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, fault: int) -> None:
    seen = page(session, fault).version
    close(session, fault, seen, kind="handling")
    with pytest.raises(ConflictError, match="cause kind nothing -> 'handling'"):
        closing.reopen_fault(session, fault, LATER, seen)
    closing.reopen_fault(session, fault, LATER)
    with pytest.raises(ConflictError, match="was changed after you looked"):
        close(session, fault, seen)
    assert page(session, fault).line.state is FaultState.OPEN


def test_a_merged_number_closes_the_fault_that_stands(session: Session, fault: int) -> None:
    kept = a_fault(session)
    log.merge_fault(session, fault, kept)
    assert close(session, fault, kind="handling").line.number == kept


def test_the_usual_kind_of_cause_of_the_entry_is_proposed(session: Session) -> None:
    an_item(session)
    an_entry(session)
    asked = a_fault(session, entry="display-no-signal")
    assert closing.likely_kind(session, asked) is None
    assert closing.likely_kind(session, a_fault(session)) is None

    for kind in ("handling", "own failure", "handling"):
        close(session, a_fault(session, entry="display-no-signal"), kind=kind)

    assert closing.likely_kind(session, asked) is CauseKind.HANDLING
