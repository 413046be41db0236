"""Survival curves and the log-rank test agree with published ones and with SciPy."""

import warnings

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import survival
from kb.review.methods.survival import Lives

ages = st.lists(st.integers(1, 12).map(float), min_size=1, max_size=12)


def lives(number: str) -> Lives:
    case = CASES[number]["inputs"]
    return Lives(case["failures"], case["right_censored"])


def test_plain_limits() -> None:
    found = survival.kaplan_meier(lives("KM-01"), confidence=0.95, limits="plain")
    assert list(found.survival) == printed("KM-01", "S")
    assert list(found.low) == printed("KM-01", "lower")
    assert list(found.high) == printed("KM-01", "upper")


def test_nist_example_by_hand() -> None:
    found = survival.kaplan_meier(lives("KM-02"))
    assert list(found.at_risk) == CASES["KM-02"]["expected"]["at_risk"]
    assert list(found.survival) == printed("KM-02", "R")


def test_boston_example_with_both_kinds_of_limits() -> None:
    plain = survival.kaplan_meier(lives("KM-03"), confidence=0.95, limits="plain")
    assert list(plain.ages) == CASES["KM-03"]["expected"]["t"]
    assert list(plain.survival) == printed("KM-03", "S")
    halves = [s - low for s, low in zip(plain.survival, plain.low, strict=True)]
    assert halves == printed("KM-03", "half_width_plain")
    log_log = survival.kaplan_meier(lives("KM-03"), confidence=0.95)
    # SciPy's test file quotes these for the same data.
    assert log_log.at(1)[1:] == pytest.approx((0.694743, 0.992802), abs=5e-7)


@pytest.mark.parametrize("number", ["LRK-01", "LRK-03"])
def test_published_log_rank_tests(number: str) -> None:
    case = CASES[number]["inputs"]
    found = survival.log_rank(Lives(*case["group1"]), Lives(*case["group2"]))
    assert found.chi_square == printed(number, "chi2")
    assert found.p == printed(number, "p")


@settings(max_examples=40, deadline=None)
@given(ages, ages)
def test_the_curve_is_scipy_s(failed: list[float], censored: list[float]) -> None:
    found = survival.kaplan_meier(Lives(failed, censored), confidence=0.9)
    theirs = stats.ecdf(stats.CensoredData(uncensored=failed, right=censored)).sf
    assert found.survival == pytest.approx(tuple(theirs.evaluate(found.ages)))
    alive = [at for at, s in enumerate(found.survival) if s > 0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that there are none where the curve is 0
        limits = theirs.confidence_interval(confidence_level=0.9, method="log-log")
    for at in alive:
        age = found.ages[at]
        assert found.low[at] == pytest.approx(float(limits.low.evaluate(age)))
        assert found.high[at] == pytest.approx(float(limits.high.evaluate(age)))
    assert all(a <= s <= b for a, s, b in zip(found.low, found.survival, found.high, strict=True))


@settings(max_examples=30, deadline=None)
@given(ages, ages, ages, ages)
def test_the_log_rank_test_is_scipy_s(
    failed: list[float], censored: list[float], other: list[float], other_censored: list[float]
) -> None:
    try:
        found = survival.log_rank(Lives(failed, censored), Lives(other, other_censored))
    except InvalidError:
        return
    theirs = stats.logrank(
        stats.CensoredData(uncensored=failed, right=censored),
        stats.CensoredData(uncensored=other, right=other_censored),
    )
    assert found.chi_square == pytest.approx(theirs.statistic**2, abs=1e-9)
    assert (found.excess > 0) == (theirs.statistic > 0) or found.excess == pytest.approx(0)


def test_what_was_already_old_enters_late() -> None:
    # At age 5 only the two that were watched then are at risk: the third entered at 8.
    found = survival.kaplan_meier(
        Lives([5.0], [9.0, 12.0], failure_starts=[0.0], censored_starts=[2.0, 8.0])
    )
    assert (found.at_risk, found.survival) == ((2,), (0.5,))
    assert found.median == 5


def test_a_curve_that_comes_to_zero_keeps_its_last_upper_limit() -> None:
    found = survival.kaplan_meier(Lives([1.0, 2.0]))
    assert (found.survival[-1], found.low[-1]) == (0, 0)
    assert found.high[-1] == found.high[0]
    assert found.at(0.5) == (1, 1, 1)


@pytest.mark.parametrize(
    "wrong", [Lives([0.0]), Lives([5.0], failure_starts=[6.0]), Lives([5.0], [1.0], [1.0, 2.0])]
)
def test_lives_that_can_t_be_are_refused(wrong: Lives) -> None:
    with pytest.raises(InvalidError):
        survival.kaplan_meier(wrong)


def test_no_common_age_and_no_such_limits_are_refused() -> None:
    with pytest.raises(InvalidError, match="both groups reach"):
        survival.log_rank(Lives([], [3.0]), Lives([], [3.0]))
    with pytest.raises(InvalidError, match="neither"):
        survival.kaplan_meier(Lives([1.0]), limits="normal")
