"""Availability as published, each with the down time that it counts."""

import pytest
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import availability, proportions, rates


def test_scheduled_down_time_changes_the_third_digit() -> None:
    case = CASES["AVL-02"]["inputs"]
    both = case["failed_days"] + case["scheduled_days"]
    assert availability.observed(case["period_days"], both) == printed("AVL-02", "availability")
    failed = availability.observed(case["period_days"], case["failed_days"])
    assert failed == printed("AVL-02", "failed_time_only")


def test_steady_state() -> None:
    case = CASES["AVL-04"]["inputs"]
    found = availability.steady_state(case["mtbf_min"], case["mttr_min"])
    assert 100 * found == printed("AVL-04", "availability_percent")


def test_minutes_down_in_a_year() -> None:
    found = [
        availability.down_minutes_a_year(one) for one in CASES["AVL-05"]["inputs"]["availability"]
    ]
    assert found == printed("AVL-05", "downtime_min_per_year")


def test_a_period_over_down_time_is_no_mean_time_to_failure() -> None:
    # What the source printed is the reciprocal of unavailability: 1095 days over 19 days down.
    unavailable = 1 - availability.observed(1095, 19)
    assert 1 / unavailable == printed("AVL-06", "period_over_down_days")
    # 1000 items with so much as one failure have another mean time between failures.
    assert rates.mean_time(1, 1000 * 1095).mean != printed("AVL-06", "period_over_down_days")


def test_overlapping_jobs_are_down_once_and_only_within_the_window() -> None:
    spans = [(5.0, 9.0), (0.0, 3.0), (2.0, 4.0), (6.0, 7.0), (20.0, 30.0)]
    assert availability.down_time(spans, (1.0, 25.0)) == 3 + 4 + 5
    assert availability.down_time([], (0, 1)) == 0


def test_at_show_time() -> None:
    found = availability.at_shows([False] * 9 + [True])
    assert (found.shows, found.fit, found.share) == (10, 9, 0.9)
    assert (found.low, found.high) == proportions.exact(9, 10)
    assert availability.at_shows([]).share is None


@pytest.mark.parametrize(("period", "down"), [(0, 0), (10, 11), (10, -1)])
def test_down_time_that_can_t_be_is_refused(period: float, down: float) -> None:
    with pytest.raises(InvalidError):
        availability.observed(period, down)


def test_other_impossible_times_are_refused() -> None:
    with pytest.raises(InvalidError, match="Swap"):
        availability.down_time([(5, 4)], (0, 9))
    with pytest.raises(InvalidError, match="no share"):
        availability.down_minutes_a_year(1.2)
    with pytest.raises(InvalidError, match="below zero"):
        availability.steady_state(5, -1)
