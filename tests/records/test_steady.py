"""A clock that wakes in the past spoils no record: time is counted on from the last one."""

from datetime import UTC, datetime, timedelta

import pytest

from kb.records import steady
from kb.records.kinds import Role
from kb.records.steady import SteadyClock
from kb.records.tables.crew import Person
from kb.records.unit import RecordSession

LAST = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
WOKE = datetime(1970, 1, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)


def test_a_clock_that_wakes_in_the_past_goes_on_from_the_last_record() -> None:
    clock = SteadyClock(LAST, began=100.0)

    assert clock.is_behind(WOKE)
    assert clock.now(WOKE, 100.0) == LAST
    assert clock.now(WOKE + HOUR, 3700.0) == LAST + HOUR
    assert clock.now(WOKE, 0.0) == LAST


def test_once_it_is_set_the_clock_is_believed() -> None:
    clock = SteadyClock(LAST, began=100.0)

    for now in (LAST, LAST + HOUR, LAST + timedelta(days=900)):
        assert not clock.is_behind(now)
        assert clock.now(now, 3700.0) == now


@pytest.mark.parametrize("behind", [timedelta(0), timedelta(minutes=2)])
def test_two_machines_differ_a_little_and_neither_is_wrong(behind: timedelta) -> None:
    assert not SteadyClock(LAST, 0.0).is_behind(LAST - behind)


def test_where_nothing_was_recorded_yet_any_clock_is_believed() -> None:
    assert SteadyClock(None, 0.0).now(WOKE, 5.0) == WOKE


def test_the_last_record_is_the_newest_of_the_journal(
    session: RecordSession, at: datetime
) -> None:
    assert steady.last_recorded(session) is None
    session.add(Person(name="M.O.", role=Role.LEAD))
    session.flush()

    assert steady.last_recorded(session) == at
