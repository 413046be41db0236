"""Times to restoration: the mean as published, open jobs told, limits as SciPy draws them."""

import numpy as np
import pytest
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import restoration

TIMES = [3.0, 6, 11, 5, 7, 9, 5, 4, 25, 3, 8, 4]


def test_the_published_mean_and_fewer_than_ten_give_the_range() -> None:
    found = restoration.restoration(CASES["AVL-01"]["inputs"]["repair_days"])
    assert found.mean == printed("AVL-01", "mttr_days")
    assert (found.low, found.high, found.is_range) == (5, 15, True)
    assert (found.median, found.longest) == (10, 15)


def test_ten_or_more_give_an_interval_like_scipy_s() -> None:
    found = restoration.restoration(TIMES, confidence=0.9)
    theirs = stats.bootstrap(
        (np.array(TIMES),),
        np.mean,
        n_resamples=20_000,
        confidence_level=0.9,
        method="BCa",
        rng=np.random.default_rng(1),
    ).confidence_interval
    assert not found.is_range
    assert (found.low, found.high) == pytest.approx((theirs.low, theirs.high), rel=0.03)


def test_the_same_times_give_the_same_limits_in_any_company() -> None:
    assert restoration.mean_limits(TIMES) == restoration.mean_limits(TIMES)


def test_open_jobs_are_told_and_move_the_median() -> None:
    closed = restoration.restoration([1.0, 2, 3])
    both = restoration.restoration([1.0, 2, 3], [40.0, 50])
    assert closed.mean == both.mean == 2
    assert (closed.median, both.median) == (2, 3)
    assert (both.still_open, both.oldest_open) == (2, 50)
    assert restoration.restoration([1.0], [9.0, 9, 9]).median is None


def test_nothing_restored_has_no_mean() -> None:
    found = restoration.restoration([], [5.0])
    assert (found.mean, found.low, found.median, found.oldest_open) == (None, None, None, 5)


def test_times_all_alike_have_no_spread() -> None:
    assert restoration.mean_limits([4.0] * 12) == (4, 4)


def test_a_time_below_zero_is_refused() -> None:
    with pytest.raises(InvalidError, match="below zero"):
        restoration.restoration([-1.0])
    with pytest.raises(InvalidError, match="fewer than two"):
        restoration.mean_limits([1.0])
