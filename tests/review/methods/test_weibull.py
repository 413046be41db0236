"""Weibull fits agree with published ones and with SciPy's; fits of nothing are refused."""

import warnings

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import weibull
from kb.review.methods.survival import Lives


def lives(number: str) -> Lives:
    """Return the lives of a published check, in miles where these are what is counted."""
    case = CASES[number]["inputs"]
    unit = "_miles" if "failures_miles" in case else ""
    return Lives(case[f"failures{unit}"], case[f"right_censored{unit}"])


def test_nist_fit() -> None:
    found = weibull.fit(lives("WEI-01"), confidence=0.95)
    for name, value in (
        ("shape", found.shape),
        ("scale", found.scale),
        ("loglik", found.log_likelihood),
        ("aic", found.akaike),
        ("mean", found.mean),
        ("sd", found.deviation),
    ):
        assert value == printed("WEI-01", name), name
    # The note of the check: log-Wald limits of another program.
    assert (found.shape_low, found.shape_high) == pytest.approx((0.9713, 3.0487), abs=6e-5)
    assert (found.scale_low, found.scale_high) == pytest.approx((405.09, 908.13), abs=6e-3)


@pytest.mark.parametrize("number", ["WEI-02", "WEI-05"])
def test_other_published_fits(number: str) -> None:
    found = weibull.fit(lives(number))
    assert found.shape == printed(number, "shape")
    assert found.scale == printed(number, "scale")


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.floats(1, 50), min_size=4, max_size=15, unique=True),
    st.lists(st.floats(1, 60), max_size=15),
)
def test_the_fit_is_scipy_s(failed: list[float], going: list[float]) -> None:
    assume(max(failed) > 1.5 * min(failed))
    found = weibull.fit(Lives(failed, going))
    assume(found.shape < 20)
    data = stats.CensoredData(uncensored=failed, right=going)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        shape, _, scale = stats.weibull_min.fit(data, floc=0)
    likelihood = stats.weibull_min(shape, scale=scale)
    theirs = likelihood.logpdf(failed).sum() + likelihood.logsf(going).sum()
    assert found.log_likelihood >= theirs - 1e-6
    assert found.shape == pytest.approx(shape, rel=2e-3)
    assert found.scale == pytest.approx(scale, rel=2e-3)


def test_the_unit_of_time_changes_nothing_but_the_scale() -> None:
    days = weibull.fit(Lives([3, 8, 13], [20]))
    hours = weibull.fit(Lives([72, 192, 312], [480]))
    assert hours.shape == pytest.approx(days.shape)
    assert hours.scale == pytest.approx(24 * days.scale)
    assert (hours.profile_low, hours.profile_high) == pytest.approx(
        (days.profile_low, days.profile_high)
    )


def test_profile_limits_hold_the_shape_and_widen_with_confidence() -> None:
    narrow, wide = (weibull.fit(lives("WEI-01"), confidence=c) for c in (0.8, 0.95))
    assert wide.profile_low < narrow.profile_low < narrow.shape < narrow.profile_high
    assert narrow.profile_high < wide.profile_high


@pytest.mark.parametrize(
    ("failed", "going"),
    [
        ([], [4, 5]),  # SciPy returns a shape of 1e-13
        ([3], [4, 5]),  # 1.54, a number without meaning
        ([9], [4, 5]),  # 2e9
        ([5, 5, 5], []),  # 1e7
        ([0, 5, 6], []),  # 0.018
        ([-1, 5, 6], []),
    ],
)
def test_what_scipy_fits_without_complaint_is_refused(
    failed: list[float], going: list[float]
) -> None:
    with pytest.raises(InvalidError):
        weibull.fit(Lives(failed, going))
