"""Repeats: counts as published, and only windows that are over are judged."""

import pytest
from published import CASES, engines

from kb.errors import InvalidError
from kb.review.methods import proportions, repeats


def test_valve_seats_first_and_repeat_events() -> None:
    expected = CASES["REC-01"]["expected"]
    found = repeats.recurrence([len(days) for days in engines()[0]])
    assert found.first == expected["first_events"]
    assert found.repeats == expected["repeat_events"]
    assert found.units_never == expected["units_never"]
    assert found.units_again == expected["units_with_a_repeat"]
    assert found.share == 0.5


def test_a_window_that_isn_t_over_is_no_success() -> None:
    found = repeats.repeat_rate([200, 150, 90, 30, 10], [20, None, 90, None, 5], 90)
    assert (found.complete, found.repeats, found.pending) == (3, 2, 2)
    assert found.share == 2 / 3
    assert (found.low, found.high) == proportions.exact(2, 3)


def test_what_comes_back_after_the_window_is_no_repeat() -> None:
    assert repeats.repeat_rate([200, 200], [91, None], 90).repeats == 0


def test_kaplan_and_meier_also_use_the_pending_ones() -> None:
    # Back after 20 and 5 days of five watched: (1 - 1/5)(1 - 1/4), where nothing was censored yet.
    found = repeats.repeat_rate([200, 150, 120, 30, 25], [20, None, None, None, 5], 90)
    assert found.within == pytest.approx(1 - 0.8 * 0.75)
    assert repeats.repeat_rate([200], [None], 90).within is None


def test_nothing_complete_is_said_as_such() -> None:
    found = repeats.repeat_rate([10], [None], 90)
    assert (found.share, found.low, found.high, found.pending) == (None, 0, 1, 1)


@pytest.mark.parametrize(
    ("watched", "back", "window"), [([5], [6], 90), ([5, 6], [None], 90), ([5], [None], 0)]
)
def test_times_that_can_t_be_are_refused(
    watched: list[float], back: list[float | None], window: float
) -> None:
    with pytest.raises(InvalidError):
        repeats.repeat_rate(watched, back, window)
