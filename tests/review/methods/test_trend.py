"""The tests of a trend agree with published ones; nothing is tested that isn't there."""

from itertools import accumulate

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import trend


def test_three_pooled_systems() -> None:
    case = CASES["TRD-01"]["inputs"]
    events, ends = case["systems_event_times"], case["T"]
    laplace, handbook = trend.laplace(events, ends), trend.military_handbook(events, ends)
    assert laplace.statistic == printed("TRD-01", "laplace_U")
    assert laplace.p == printed("TRD-01", "laplace_p")
    assert handbook.statistic == printed("TRD-01", "mil_chi2")
    assert handbook.degrees == CASES["TRD-01"]["expected"]["mil_df"]
    assert handbook.p == printed("TRD-01", "mil_p")


def test_a_watch_that_ends_with_a_failure_leaves_the_last_one_out() -> None:
    ages = list(accumulate(CASES["TRD-02"]["inputs"]["times_between_failures"]))
    found = trend.laplace([ages], failure_terminated=True)
    assert found.statistic == printed("TRD-02", "laplace_U")
    # The slip that the note of the check names.
    assert trend.laplace([ages], [ages[-1]]).statistic == pytest.approx(2.685, abs=5e-4)


def test_no_trend_by_laplace_and_lewis_and_robinson() -> None:
    case = CASES["TRD-04"]["inputs"]
    events, ends = [case["event_days"]], [case["observed_until"]]
    for name, test in (("laplace", trend.laplace), ("lewis_robinson", trend.lewis_robinson)):
        assert test(events, ends).statistic == printed("TRD-04", f"{name}_time_terminated")
        assert test(events, failure_terminated=True).statistic == printed(
            "TRD-04", f"{name}_failure_terminated"
        )


def test_nist_example_where_two_tests_differ() -> None:
    case = CASES["TRD-05"]["inputs"]
    events, ends = [case["event_times"]], [case["T"]]
    found = trend.military_handbook(events, ends)
    assert found.statistic == printed("TRD-05", "mil_chi2")
    assert found.degrees == CASES["TRD-05"]["expected"]["mil_df"]
    assert 100 * found.below == printed("TRD-05", "prob_level_percent")
    gaps = np.diff([0, *case["event_times"]])
    assert trend.reverse_arrangements(list(gaps))[0] == printed("TRD-05", "reverse_arrangements")
    assert trend.laplace(events, ends).statistic == pytest.approx(-1.33, abs=0.005)


def test_p_values_are_scipy_s() -> None:
    laplace = trend.laplace([[1, 2, 9]], [10])
    assert laplace.p == pytest.approx(2 * stats.norm.sf(abs(laplace.statistic)))
    handbook = trend.military_handbook([[1, 2, 9]], [10])
    assert handbook.below == pytest.approx(stats.chi2.cdf(handbook.statistic, 6))


def test_more_and_more_is_above_zero_in_laplace_and_small_in_the_handbook() -> None:
    late, early = [[7.0, 8, 9, 9.5, 9.9]], [[0.1, 0.5, 1, 2, 3]]
    assert trend.laplace(late, [10]).statistic > 0 > trend.laplace(early, [10]).statistic
    assert trend.military_handbook(late, [10]).below < 0.5
    assert trend.military_handbook(early, [10]).below > 0.5
    assert trend.reverse_arrangements([5, 4, 3, 1])[1].statistic > 0


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0.01, 0.99), min_size=2, max_size=8, unique=True), st.floats(0, 50))
def test_a_unit_watched_from_a_later_age_on_is_tested_from_there(
    shares: list[float], start: float
) -> None:
    moved = [[start + one for one in shares]]
    found = trend.laplace(moved, [start + 1], starts=[start])
    assert found.statistic == pytest.approx(trend.laplace([shares], [1]).statistic, abs=1e-6)


def test_units_without_a_failure_change_nothing() -> None:
    alone = trend.laplace([[1, 2, 9]], [10])
    assert trend.laplace([[1, 2, 9], []], [10, 40]) == alone


@pytest.mark.parametrize(
    ("events", "ends"), [([[]], [5]), ([[1]], [5, 6]), ([[6]], [5]), ([[0]], [5]), ([[1]], [0])]
)
def test_what_no_trend_can_be_seen_in_is_refused(
    events: list[list[float]], ends: list[float]
) -> None:
    with pytest.raises(InvalidError):
        trend.laplace(events, ends)


def test_gaps_that_don_t_vary_are_refused() -> None:
    with pytest.raises(InvalidError, match="vary"):
        trend.lewis_robinson([[1, 2, 3]], [4])
    with pytest.raises(InvalidError, match="fewer than two"):
        trend.reverse_arrangements([1])
