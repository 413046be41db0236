"""Repeats are judged in complete windows only."""

import pytest
from published import engines, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import repeats


def test_valve_seats_first_and_again() -> None:
    found = repeats.recurrence([len(one) for one in engines()[0]])
    assert found.first == printed("REC-01", "first_events")
    assert found.repeats == printed("REC-01", "repeat_events")
    assert found.units_never == printed("REC-01", "units_never")
    assert found.units_again == printed("REC-01", "units_with_a_repeat")
    assert found.share == 0.5
    assert repeats.recurrence([0, 0]).share is None


def test_a_window_that_isn_t_over_is_pending_even_with_a_repeat() -> None:
    found = repeats.repeat_rate([200, 200, 200, 50, 50], [30, 120, None, 10, None], 90)
    assert (found.complete, found.repeats, found.pending) == (3, 1, 2)
    limits = stats.binomtest(1, 3).proportion_ci(0.9, "exact")
    assert (found.low, found.high) == pytest.approx(limits)
    # Kaplan and Meier: 1 of 5 at 10, 1 of 4 at 30; the pending one left at 50.
    assert found.within == pytest.approx(1 - 4 / 5 * 3 / 4)


def test_nothing_came_back_or_none_is_complete() -> None:
    found = repeats.repeat_rate([10], [None], 90)
    assert (found.share, found.within, found.low, found.high) == (None, None, 0, 1)


@pytest.mark.parametrize(
    ("watched", "back", "window"), [([5], [6], 90), ([5], [None, 1], 90), ([5], [None], 0)]
)
def test_times_that_can_t_be_are_refused(
    watched: list[float], back: list[float | None], window: float
) -> None:
    with pytest.raises(InvalidError):
        repeats.repeat_rate(watched, back, window)
