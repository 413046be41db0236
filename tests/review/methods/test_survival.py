"""Survival curves and the log-rank test agree with published ones and with SciPy's."""

import warnings

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import survival
from kb.review.methods.survival import Lives

few = settings(max_examples=25, deadline=None)
ages = st.lists(st.integers(1, 40).map(float), min_size=1, max_size=12)


def lives(number: str) -> Lives:
    """Return the lives of a published check."""
    case = CASES[number]["inputs"]
    return Lives(case["failures"], case["right_censored"])


def test_published_curve_with_plain_limits() -> None:
    found = survival.kaplan_meier(lives("KM-01"), confidence=0.95, limits="plain")
    assert list(found.survival) == printed("KM-01", "S")
    assert list(found.low) == printed("KM-01", "lower")
    assert list(found.high) == printed("KM-01", "upper")


def test_nist_curve_and_who_was_at_risk() -> None:
    found = survival.kaplan_meier(lives("KM-02"))
    assert list(found.at_risk) == printed("KM-02", "at_risk")
    assert list(found.survival) == printed("KM-02", "R")


def test_published_half_widths_and_log_log_limits() -> None:
    plain = survival.kaplan_meier(lives("KM-03"), confidence=0.95, limits="plain")
    assert list(plain.ages) == CASES["KM-03"]["expected"]["t"]
    assert list(plain.survival) == printed("KM-03", "S")
    halves = [s - low for s, low in zip(plain.survival, plain.low, strict=True)]
    assert halves == printed("KM-03", "half_width_plain")
    # SciPy's test file quotes these for the same data.
    first = survival.kaplan_meier(lives("KM-03"), confidence=0.95)
    assert (first.low[0], first.high[0]) == pytest.approx((0.694743, 0.992802), abs=6e-7)


@pytest.mark.parametrize("number", ["LRK-01", "LRK-03"])
def test_published_log_rank(number: str) -> None:
    case = CASES[number]["inputs"]
    found = survival.log_rank(Lives(*case["group1"]), Lives(*case["group2"]))
    assert found.chi_square == printed(number, "chi2")
    assert found.p == printed(number, "p")


@few
@given(ages, ages, st.sampled_from(["plain", "log-log"]))
def test_the_curve_is_scipy_s(failed: list[float], going: list[float], limits: str) -> None:
    found = survival.kaplan_meier(Lives(failed, going), confidence=0.9, limits=limits)
    theirs = stats.ecdf(stats.CensoredData(uncensored=failed, right=going)).sf
    assert list(theirs.evaluate(np.array(found.ages))) == pytest.approx(list(found.survival))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        method = "linear" if limits == "plain" else limits
        low = theirs.confidence_interval(confidence_level=0.9, method=method).low
    seen = low.evaluate(np.array(found.ages))
    for ours, other, share in zip(found.low, seen, found.survival, strict=True):
        if share > 0:
            assert ours == pytest.approx(other, abs=1e-9)


@few
@given(ages, ages, ages)
def test_log_rank_is_scipy_s(first: list[float], second: list[float], going: list[float]) -> None:
    groups = [stats.CensoredData(uncensored=one, right=going) for one in (first, second)]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = stats.logrank(*groups)
    assume(np.isfinite(theirs.statistic))
    found = survival.log_rank(Lives(first, going), Lives(second, going))
    assert found.chi_square == pytest.approx(theirs.statistic**2, abs=1e-9)
    assert found.p == pytest.approx(theirs.pvalue, abs=1e-9)


def test_what_entered_late_is_at_risk_only_from_then_on() -> None:
    # By hand: at 4 the one that enters at 5 isn't there yet.
    late = Lives([4, 6, 8], [9], [0, 5, 0], [2])
    found = survival.kaplan_meier(late)
    assert found.at_risk == (3, 3, 2)
    assert found.survival == pytest.approx((2 / 3, 4 / 9, 2 / 9))


def test_a_median_that_isn_t_reached_is_none() -> None:
    assert survival.kaplan_meier(Lives([1], [5, 5, 5])).median is None
    found = survival.kaplan_meier(Lives([1, 2, 3]))
    assert found.median == 2
    assert found.at(0.5) == (1, 1, 1)
    assert found.at(9)[0] == 0


def test_without_a_failure_the_curve_is_empty() -> None:
    assert survival.kaplan_meier(Lives([], [3, 4])).ages == ()


@pytest.mark.parametrize(
    "wrong",
    [Lives([0]), Lives([2], [], [3]), Lives([2], [1], None, [4]), Lives([2], [], [0, 0])],
)
def test_ages_that_can_t_be_are_refused(wrong: Lives) -> None:
    with pytest.raises(InvalidError):
        survival.kaplan_meier(wrong)


def test_unknown_limits_and_groups_that_share_no_age_are_refused() -> None:
    with pytest.raises(InvalidError, match="log-log"):
        survival.kaplan_meier(Lives([1]), limits="fine")
    with pytest.raises(InvalidError, match="both groups"):
        survival.log_rank(Lives([], [5]), Lives([], [5]))
