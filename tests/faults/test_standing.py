"""What the last attempt says of a fault, whatever the order of telling."""

from datetime import timedelta

from builders import an_item
from fault_builders import FAILED, NOW, WORKED, a_fault, a_try, an_entry
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import Session

from kb.faults import attempts, closing, log, standing
from kb.records.kinds import Outcome

MINUTE = timedelta(minutes=1)
outcomes = st.sampled_from([WORKED, FAILED])
tries = st.lists(st.tuples(st.integers(0, 5), outcomes, st.booleans()), min_size=1, max_size=6)


@settings(
    max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(tries)
def test_a_fault_stands_as_its_last_attempt_in_time_says(
    session: Session, made: list[tuple[int, Outcome, bool]]
) -> None:
    """Each attempt is (minutes later, outcome, whether it's struck out afterwards)."""
    if not session.info.get("prepared"):
        an_item(session)
        an_entry(session)
        session.info["prepared"] = True
    fault = a_fault(session, entry="display-no-signal")
    numbers = [
        a_try(session, fault, at=NOW + minutes * MINUTE, outcome=outcome)
        for minutes, outcome, _ in made
    ]
    for number, (_, _, struck) in zip(numbers, made, strict=True):
        if struck:
            attempts.strike_attempt(session, number, "wrong fault", NOW)
    left = [
        (minutes, number, outcome)
        for number, (minutes, outcome, struck) in zip(numbers, made, strict=True)
        if not struck
    ]
    minutes, _, outcome = max(left, default=(0, 0, FAILED))
    restored = log.fault_by(session, fault).restored_at
    assert restored == (NOW + minutes * MINUTE if outcome is WORKED else None)
    assert [one.key for one in standing.attempts(session, fault)] == [
        number for _, number, _ in sorted(left)
    ]


def test_what_worked_before_the_fault_came_back_restores_nothing(session: Session) -> None:
    an_item(session)
    an_entry(session)
    fault = a_fault(session, entry="display-no-signal")
    first = a_try(session, fault)
    closing.reopen_fault(session, fault, NOW + 2 * MINUTE)
    attempts.correct_attempt(session, first, FAILED)
    attempts.correct_attempt(session, first, WORKED)
    assert log.fault_by(session, fault).restored_at is None
    a_try(session, fault, at=NOW + 3 * MINUTE)
    assert log.fault_by(session, fault).restored_at == NOW + 3 * MINUTE


def test_a_fault_that_was_opened_again_stays_open_when_an_old_slip_is_mended(
    session: Session,
) -> None:
    an_item(session)
    an_entry(session)
    fault = a_fault(session, entry="display-no-signal")
    slip = a_try(session, fault, outcome=FAILED)
    a_try(session, fault, at=NOW + MINUTE)
    closing.reopen_fault(session, fault, NOW + 2 * MINUTE)
    attempts.strike_attempt(session, slip, "never made", NOW + 3 * MINUTE)
    assert log.fault_by(session, fault).restored_at is None
