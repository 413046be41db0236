"""The Weibull law agrees with published fits, and refuses what makes none."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import weibull
from kb.review.methods.survival import Lives

some_ages = st.lists(st.floats(0.5, 50), min_size=4, max_size=12, unique=True)


def test_nist_example() -> None:
    case = CASES["WEI-01"]["inputs"]
    found = weibull.fit(Lives(case["failures"], case["right_censored"]), confidence=0.95)
    assert found.shape == printed("WEI-01", "shape")
    assert found.scale == printed("WEI-01", "scale")
    assert found.log_likelihood == printed("WEI-01", "loglik")
    assert found.akaike == printed("WEI-01", "aic")
    assert found.mean == printed("WEI-01", "mean")
    assert found.deviation == printed("WEI-01", "sd")
    # Limits of the note of the check, equal to another program's to six digits.
    assert (found.shape_low, found.shape_high) == pytest.approx((0.9713, 3.0487), abs=5e-5)
    assert (found.scale_low, found.scale_high) == pytest.approx((405.09, 908.13), abs=6e-3)


@pytest.mark.parametrize(
    ("number", "failed", "censored"),
    [
        ("WEI-02", "failures", "right_censored"),
        ("WEI-05", "failures_miles", "right_censored_miles"),
    ],
)
def test_published_fits(number: str, failed: str, censored: str) -> None:
    case = CASES[number]["inputs"]
    found = weibull.fit(Lives(case[failed], case[censored]))
    assert found.shape == printed(number, "shape")
    assert found.scale == printed(number, "scale")


@settings(max_examples=20, deadline=None)
@given(some_ages, some_ages)
def test_the_fit_is_scipy_s(failed: list[float], censored: list[float]) -> None:
    try:
        found = weibull.fit(Lives(failed, censored))
    except InvalidError:
        return
    data = stats.CensoredData(uncensored=failed, right=censored)
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    law = stats.weibull_min(shape, scale=scale)
    theirs = law.logpdf(failed).sum() + law.logsf(censored).sum()
    assert found.log_likelihood >= theirs - 1e-6
    if found.log_likelihood < theirs + 1e-7:  # its search came to the top
        assert (found.shape, found.scale) == pytest.approx((shape, scale), rel=5e-3)


@settings(max_examples=20, deadline=None)
@given(some_ages, st.floats(0.01, 1e4))
def test_the_shape_doesn_t_depend_on_the_unit_of_time(failed: list[float], unit: float) -> None:
    one, other = weibull.fit(Lives(failed)), weibull.fit(Lives([unit * age for age in failed]))
    assert other.shape == pytest.approx(one.shape, rel=1e-6)
    assert other.scale == pytest.approx(unit * one.scale, rel=1e-6)


def test_profile_limits_are_where_the_likelihood_has_dropped() -> None:
    case = CASES["WEI-01"]["inputs"]
    data = Lives(case["failures"], case["right_censored"])
    found = weibull.fit(data, confidence=0.9)
    failed, ages = np.array(data.failures), np.array([*data.failures, *data.censored])
    for shape in (found.profile_low, found.profile_high):
        scale = ((ages**shape).sum() / len(failed)) ** (1 / shape)
        law = stats.weibull_min(shape, scale=scale)
        likelihood = law.logpdf(failed).sum() + law.logsf(np.array(data.censored)).sum()
        drop = stats.chi2.ppf(0.9, 1) / 2
        assert likelihood == pytest.approx(found.log_likelihood - drop, abs=1e-6)


def test_what_entered_late_is_weighed_from_there() -> None:
    # With a constant rate, lives that entered at 10 are as lives moved to 0: the rate is 4 / 40.
    ages = [12.0, 15.0, 20.0, 33.0]
    late = weibull.fit(Lives(ages, failure_starts=[10.0] * 4))
    assert late.scale > 0
    assert late.shape != pytest.approx(weibull.fit(Lives(ages)).shape, rel=0.1)


@pytest.mark.parametrize(
    "wrong",
    [
        Lives([]),
        Lives([5.0], [9.0]),
        Lives([5.0, 5.0], [9.0]),
        Lives([5.0, 6.0], [0.0]),
        Lives([-5.0, 6.0]),
    ],
)
def test_what_makes_no_law_is_refused(wrong: Lives) -> None:
    with pytest.raises(InvalidError):
        weibull.fit(wrong)
