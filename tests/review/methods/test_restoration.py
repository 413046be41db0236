"""Times to restoration, open jobs told beside the mean."""

import warnings

import numpy as np
import pytest
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import restoration


def test_published_mean() -> None:
    days = CASES["AVL-01"]["inputs"]["repair_days"]
    found = restoration.restoration(days)
    assert found.mean == printed("AVL-01", "mttr_days")
    assert (found.low, found.high, found.is_range) == (5, 15, True)
    assert (found.median, found.longest, found.completed) == (10, 15, 5)


def test_open_jobs_move_the_median_and_are_told() -> None:
    found = restoration.restoration([1, 2, 3], [9, 10, 11, 12])
    assert found.mean == 2
    assert found.median is None
    assert (found.still_open, found.oldest_open) == (4, 12)


def test_the_interval_of_the_mean_is_near_scipy_s() -> None:
    values = np.random.default_rng(5).gamma(0.8, 30, 25)
    found = restoration.restoration([float(one) for one in values], confidence=0.9)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = stats.bootstrap(
            (values,), np.mean, confidence_level=0.9, method="BCa", rng=np.random.default_rng(8)
        ).confidence_interval
    assert (found.low, found.high) == pytest.approx((theirs.low, theirs.high), rel=0.03)
    assert not found.is_range
    again = restoration.restoration([float(one) for one in values], confidence=0.9)
    assert again == found


def test_nothing_and_no_time_at_all() -> None:
    none = restoration.restoration([], [3])
    assert (none.mean, none.median, none.low) == (None, None, None)
    assert restoration.restoration([0, 0]).median == 0
    assert restoration.restoration([4.0] * 12).low == 4


def test_times_below_zero_are_refused() -> None:
    with pytest.raises(InvalidError):
        restoration.restoration([-1])
    with pytest.raises(InvalidError):
        restoration.mean_limits([1])
