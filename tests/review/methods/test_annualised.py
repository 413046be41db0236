"""Annualised failure rates of drives agree with published figures."""

import pytest
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import annualised


def test_published_rate_and_limit() -> None:
    case = CASES["AFR-01"]["inputs"]
    found = annualised.failure_rate(case["failures"], case["drive_days"])
    assert 100 * found.rate.rate == printed("AFR-01", "afr_percent")
    # The upper limit at 90 % is the one-sided 95 % one.
    assert 100 * found.rate.high == printed("AFR-01", "limit95_percent")
    years = case["drive_days"] / annualised.DAYS
    assert found.rate.high == pytest.approx(stats.chi2.ppf(0.95, 2 * 51) / 2 / years)
    # A flat prior's posterior mean, Gamma(k + 1).
    assert 100 * (case["failures"] + 1) / years == printed("AFR-01", "posterior_mean_percent")


def test_published_mean_time_of_a_yearly_chance() -> None:
    afr = CASES["AFR-03"]["inputs"]["afr"]
    assert annualised.mean_hours(afr) == printed("AFR-03", "mtbf_h")
    assert annualised.annual_chance(annualised.mean_hours(afr)) == pytest.approx(afr)


def test_a_mean_time_is_no_median() -> None:
    # The published text took it for one and halved the rate.
    case = CASES["AFR-05"]["inputs"]
    chance = annualised.annual_chance(case["mtbf_h"])
    assert case["drives"] / case["mtbf_h"] == printed("AFR-05", "failures_per_hour")
    assert 100 * chance == printed("AFR-05", "afr_percent")
    assert 100 * chance != pytest.approx(
        CASES["AFR-05"]["published_as_printed"]["afr_percent"], rel=0.5
    )


def test_bands_of_age_share_out_days_and_failures() -> None:
    found = annualised.by_age([(0, 800), (300, 500)], [100, 365, 700], [0, 365, 730])
    assert [one.drive_days for one in found] == [365 + 65, 365 + 135, 70]
    assert [one.drives for one in found] == [2, 2, 1]
    assert [one.failures for one in found] == [1, 2, 0]
    assert found[1].annualised is not None
    assert found[1].annualised.rate.rate == pytest.approx(2 / (500 / 365))


def test_a_band_that_nobody_reached_has_no_rate() -> None:
    assert annualised.by_age([(0, 10)], [], [0, 365])[1].annualised is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: annualised.by_age([(0, 10)], [], [365, 0]),
        lambda: annualised.by_age([(10, 0)], [], [0]),
        lambda: annualised.mean_hours(1),
        lambda: annualised.annual_chance(0),
        lambda: annualised.failure_rate(1, 0),
    ],
)
def test_figures_that_can_t_be_are_refused(call: object) -> None:
    with pytest.raises(InvalidError):
        call()  # type: ignore[operator]
