"""A clock that wakes at a wrong time spoils no record: time is counted on from the last one."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from kb.records.steady import LONGEST_PAUSE, SteadyClock

LAST = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
WOKE = datetime(1970, 1, 1, tzinfo=UTC)
LEAPT = datetime(2041, 7, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)
ZONE = ZoneInfo("Europe/London")


@pytest.mark.parametrize(("machine", "why"), [(WOKE, "before"), (LEAPT, "over half a year after")])
def test_a_clock_that_wakes_at_a_wrong_time_goes_on_from_the_last_record(
    machine: datetime, why: str
) -> None:
    clock = SteadyClock(LAST, began=100.0)

    assert f"which is {why} the last record" in clock.told(machine, 100.0, ZONE)
    assert clock.now(machine, 100.0) == LAST
    assert clock.now(machine + HOUR, 3700.0) == LAST + HOUR
    assert clock.now(machine, 0.0) == LAST


def test_once_it_is_set_the_clock_is_believed() -> None:
    clock = SteadyClock(LAST, began=100.0)

    for now in (LAST, LAST + HOUR, LAST + LONGEST_PAUSE):
        assert clock.told(now, 3700.0, ZONE) == ""
        assert clock.now(now, 3700.0) == now


def test_what_runs_for_years_believes_a_clock_that_runs_with_it() -> None:
    later = LAST + timedelta(days=900)

    assert SteadyClock(LAST, 0.0).now(later, 900 * 86400.0) == later


@pytest.mark.parametrize("machine", [LAST - 90 * 24 * HOUR, LEAPT])
def test_who_says_that_the_clock_is_right_is_believed_on_that_day(machine: datetime) -> None:
    """So a record from the future holds nothing, and a long pause neither."""
    clock = SteadyClock(LAST, 0.0, right_on=machine.date())

    assert clock.now(machine, 0.0) == machine
    assert clock.told(machine, 0.0, ZONE) == ""
    assert clock.now(WOKE, 0.0) == LAST


@pytest.mark.parametrize("behind", [timedelta(0), timedelta(minutes=2)])
def test_two_machines_differ_a_little_and_neither_is_wrong(behind: timedelta) -> None:
    assert SteadyClock(LAST, 0.0).told(LAST - behind, 0.0, ZONE) == ""


def test_where_nothing_was_recorded_yet_any_clock_is_believed() -> None:
    assert SteadyClock(None, 0.0).now(WOKE, 5.0) == WOKE
