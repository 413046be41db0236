"""Where a fault stands: open, watched inside the hold time, closed."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.faults.states import state_of
from kb.records.kinds import FaultState

NOW = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
WEEK = timedelta(days=7)
SECOND = timedelta(seconds=1)

times = st.datetimes(datetime(2025, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - the strategy adds the zone


@pytest.mark.parametrize(
    ("restored", "closed", "state"),
    [
        (None, None, FaultState.OPEN),
        (NOW, None, FaultState.WATCHED),
        (NOW - WEEK + SECOND, None, FaultState.WATCHED),
        # The hold time is over in its last moment: the fix held.
        (NOW - WEEK, None, FaultState.CLOSED),
        (NOW - 2 * WEEK, None, FaultState.CLOSED),
        # Whoever names the cause needn't wait.
        (NOW, NOW, FaultState.CLOSED),
        (NOW - WEEK, NOW, FaultState.CLOSED),
    ],
)
def test_a_fault_is_open_then_watched_then_closed(
    restored: datetime | None, closed: datetime | None, state: FaultState
) -> None:
    assert state_of(restored, closed, NOW, WEEK) is state


@settings(max_examples=100)
@given(times, st.timedeltas(timedelta(days=1), timedelta(days=365)), times, times)
def test_a_watched_fault_closes_once_and_stays_so(
    restored: datetime, hold: timedelta, one: datetime, other: datetime
) -> None:
    earlier, later = sorted((one, other))
    order = [FaultState.WATCHED, FaultState.CLOSED]
    states = [state_of(restored, None, now, hold) for now in (earlier, later)]
    assert order.index(states[0]) <= order.index(states[1])
    assert state_of(restored, restored, earlier, hold) is FaultState.CLOSED
    assert state_of(None, None, later, hold) is FaultState.OPEN
