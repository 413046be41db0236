"""What SciPy hasn't agrees with lifelines: late entry, and Weibull lives that entered late."""

from importlib import import_module

import numpy as np
import pytest

from kb.review.methods import survival, weibull
from kb.review.methods.survival import Lives

pytestmark = pytest.mark.slow

FAILED, GOING = [4.0, 6.0, 8.0, 9.5, 12.0], [9.0, 11.0, 15.0, 15.0]
FAILED_FROM, GOING_FROM = [0.0, 5.0, 0.0, 3.0, 7.0], [2.0, 0.0, 4.0, 10.0]
LATE = Lives(FAILED, GOING, FAILED_FROM, GOING_FROM)
AGES, SEEN, ENTRY = FAILED + GOING, [1] * 5 + [0] * 4, FAILED_FROM + GOING_FROM


def test_the_survival_curve_of_things_that_entered_late() -> None:
    lifelines = import_module("lifelines")  # loads pandas: not in the quick loop
    fitter = lifelines.KaplanMeierFitter(alpha=0.1).fit(AGES, SEEN, entry=ENTRY)
    found = survival.kaplan_meier(LATE, confidence=0.9)
    ages = list(found.ages)
    assert list(found.survival) == pytest.approx(list(fitter.predict(ages)))
    limits = fitter.confidence_interval_survival_function_.loc[ages].to_numpy()
    assert np.allclose(np.column_stack([found.low, found.high]), limits)


def test_the_weibull_law_of_things_that_entered_late() -> None:
    lifelines = import_module("lifelines")
    fitter = lifelines.WeibullFitter().fit(AGES, SEEN, entry=ENTRY)
    found = weibull.fit(LATE)
    assert found.shape == pytest.approx(fitter.rho_, rel=1e-4)
    assert found.scale == pytest.approx(fitter.lambda_, rel=1e-4)


def test_the_log_rank_test() -> None:
    statistics = import_module("lifelines.statistics")
    other = ([2.0, 3.0, 5.0], [6.0, 7.0])
    theirs = statistics.logrank_test(AGES, other[0] + other[1], SEEN, [1, 1, 1, 0, 0])
    found = survival.log_rank(Lives(FAILED, GOING), Lives(*other))
    assert found.chi_square == pytest.approx(theirs.test_statistic)
    assert found.p == pytest.approx(theirs.p_value)
