"""Availability agrees with published figures; what is counted as down changes them."""

import pytest
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import availability


def test_published_share_by_what_is_counted_as_down() -> None:
    case = CASES["AVL-02"]["inputs"]
    period, failed = case["period_days"], case["failed_days"]
    both = availability.observed(period, failed + case["scheduled_days"])
    assert both == printed("AVL-02", "availability")
    assert availability.observed(period, failed) == printed("AVL-02", "failed_time_only")
    # A text calls this a mean time to failure; it is days over days down.
    assert 1 / (1 - both) == printed("AVL-06", "period_over_down_days")


def test_published_steady_state() -> None:
    case = CASES["AVL-04"]["inputs"]
    found = availability.steady_state(case["mtbf_min"], case["mttr_min"])
    assert 100 * found == printed("AVL-04", "availability_percent")


def test_published_minutes_a_year() -> None:
    shares = CASES["AVL-05"]["inputs"]["availability"]
    found = [availability.down_minutes_a_year(one) for one in shares]
    assert found == printed("AVL-05", "downtime_min_per_year")


def test_overlapping_jobs_are_down_once_and_only_within_the_window() -> None:
    spans = [(5.0, 9.0), (-3.0, 2.0), (8.0, 12.0), (8.5, 9.0), (30.0, 40.0)]
    assert availability.down_time(spans, (0, 31)) == 2 + 7 + 1
    assert availability.down_time([], (0, 31)) == 0


def test_shows_without_an_open_fault() -> None:
    found = availability.at_shows([False] * 18 + [True] * 2, confidence=0.95)
    assert (found.shows, found.fit, found.share) == (20, 18, 0.9)
    assert [found.low, found.high] == printed("FIX-01", "exact")
    assert availability.at_shows([]).share is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: availability.observed(10, 11),
        lambda: availability.observed(0, 0),
        lambda: availability.steady_state(5, -1),
        lambda: availability.down_minutes_a_year(1.1),
        lambda: availability.down_time([(5, 4)], (0, 9)),
    ],
)
def test_times_that_can_t_be_are_refused(call: object) -> None:
    with pytest.raises(InvalidError):
        call()  # type: ignore[operator]
