"""Annualised failure rates agree with published ones; a mean is no median."""

from math import exp

import pytest
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import annualised, shrinkage
from kb.review.methods.shrinkage import Gamma


def test_drives_of_one_model() -> None:
    case = CASES["AFR-01"]["inputs"]
    found = annualised.failure_rate(case["failures"], case["drive_days"], confidence=0.9)
    assert 100 * found.rate.rate == printed("AFR-01", "afr_percent")
    # The upper limit of the two-sided 90 % interval is the one-sided 95 % bound.
    assert 100 * found.rate.high == printed("AFR-01", "limit95_percent")
    flat = shrinkage.posterior(case["failures"], case["drive_days"] / 365, Gamma(1, 0))
    assert 100 * flat.mean == printed("AFR-01", "posterior_mean_percent")


def test_a_chance_and_a_mean_time() -> None:
    chance = CASES["AFR-03"]["inputs"]["afr"]
    hours = annualised.mean_hours(chance)
    assert hours == printed("AFR-03", "mtbf_h")
    assert annualised.annual_chance(hours) == pytest.approx(chance)


def test_a_mean_time_is_no_median() -> None:
    case = CASES["AFR-05"]["inputs"]
    assert case["drives"] / case["mtbf_h"] == printed("AFR-05", "failures_per_hour")
    assert 100 * annualised.annual_chance(case["mtbf_h"]) == printed("AFR-05", "afr_percent")
    # By the mean 63.2 % have failed, not half.
    assert 1 - exp(-1) == pytest.approx(0.632, abs=5e-4)


def test_the_chance_goes_with_the_rate() -> None:
    found = annualised.failure_rate(3, 365)
    assert found.chance == pytest.approx(1 - exp(-3))
    assert found.chance_low < found.chance < found.chance_high < 1


def test_bands_of_age_share_out_days_and_failures() -> None:
    spans = [(0.0, 800.0), (300.0, 400.0)]
    young, middle, old = annualised.by_age(spans, [100, 365, 799], [0, 365, 730])
    assert [one.drive_days for one in (young, middle, old)] == [365 + 65, 365 + 35, 70]
    assert [one.drives for one in (young, middle, old)] == [2, 2, 1]
    assert [one.failures for one in (young, middle, old)] == [1, 1, 1]
    assert old.until is None
    assert old.annualised is not None
    assert old.annualised.rate.rate == pytest.approx(365 / 70)


def test_a_band_that_nobody_reached_has_no_rate() -> None:
    assert annualised.by_age([(0, 10)], [], [0, 365])[1].annualised is None


def test_edges_and_chances_that_can_t_be_are_refused() -> None:
    with pytest.raises(InvalidError, match="rise"):
        annualised.by_age([(0, 10)], [], [365, 0])
    with pytest.raises(InvalidError, match="chance"):
        annualised.mean_hours(1.0)
