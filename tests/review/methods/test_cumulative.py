"""The mean cumulative function agrees with published ones, and with the formula done plainly."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, engines, printed

from kb.errors import InvalidError
from kb.review.methods import cumulative

few = settings(max_examples=25, deadline=None)
unit = st.tuples(st.lists(st.integers(1, 20).map(float), max_size=5), st.integers(20, 30))
fleet = st.lists(unit, min_size=2, max_size=8)


def test_published_curve_with_the_simple_variance() -> None:
    case = CASES["MCF-01"]["inputs"]
    found = cumulative.curve(case["units_event_times"], case["units_end"])
    simple = found.with_simple_variance()
    # The source lists an age once for each failure; a step is once an age.
    expected = CASES["MCF-01"]["expected"]
    steps = dict(zip(expected["t"], expected["mcf"], strict=True))
    assert list(found.ages) == list(steps)
    assert list(found.mean) == pytest.approx(list(steps.values()), abs=6e-6)
    assert found.variance_simple[-1] == printed("MCF-01", "variance_last")
    assert simple.low[-1] == printed("MCF-01", "lower_last")
    assert simple.high[-1] == printed("MCF-01", "upper_last")
    assert simple.low[0] == printed("MCF-01", "lower_first")
    assert simple.high[0] == printed("MCF-01", "upper_first")
    # The note of the check: the robust one.
    assert found.variance[-1] == pytest.approx(0.1452, abs=5e-5)


def test_valve_seats_with_the_robust_error() -> None:
    found = cumulative.curve(*engines())
    first = len(CASES["MCF-03"]["expected"]["days"])
    assert list(found.ages[:first]) == CASES["MCF-03"]["expected"]["days"]
    assert list(found.mean[:first]) == printed("MCF-03", "mcf")
    # Nelson's unbiased variance is larger by n / (n - 1) while all are at risk.
    errors = [(one * 41 / 40) ** 0.5 for one in found.variance[:first]]
    assert errors == printed("MCF-03", "se_nelson")
    assert found.at_risk[-1] == 9
    assert found.mean[-1] == pytest.approx(1.5427, abs=5e-5)


def robust(events: list[list[float]], ends: list[float], at: float) -> float:
    """Return the variance of Lawless and Nadeau as its formula is written."""
    ages = sorted({age for one in events for age in one if age <= at})
    total = 0.0
    for one, end in zip(events, ends, strict=True):
        part = 0.0
        for age in ages:
            risk = sum(1 for other in ends if other >= age)
            rate = sum(other.count(age) for other in events) / risk
            part += (end >= age) / risk * (one.count(age) - rate)
        total += part**2
    return total


@few
@given(fleet)
def test_the_variance_is_that_of_the_formula(found: list[tuple[list[float], int]]) -> None:
    events, ends = [one for one, _ in found], [float(end) for _, end in found]
    curve = cumulative.curve(events, ends)
    for age, variance in zip(curve.ages, curve.variance, strict=True):
        assert variance == pytest.approx(robust(events, ends, age), abs=1e-9)


@few
@given(fleet)
def test_all_watched_alike_the_mean_is_failures_over_units(
    found: list[tuple[list[float], int]],
) -> None:
    events = [one for one, _ in found]
    curve = cumulative.curve(events, [30] * len(events))
    counted = sum(len(one) for one in events)
    assert (curve.mean[-1] if curve.mean else 0) == pytest.approx(counted / len(events))
    if curve.mean and curve.variance[-1] > 0:
        per_unit = np.array([len(one) for one in events])
        assert curve.variance[-1] == pytest.approx(per_unit.var() / len(events))


def test_a_unit_watched_from_later_on_is_at_risk_from_then() -> None:
    curve = cumulative.curve([[2.0], [6.0]], [10, 10], starts=[0, 5])
    assert curve.at_risk == (1, 2)
    assert curve.mean == pytest.approx((1, 1.5))


def test_two_groups_alike_don_t_differ_and_others_do() -> None:
    calm, busy = [[5.0], [7.0], [], []], [[2.0, 4, 6, 8], [1.0, 3, 9], [2.0, 5, 7], [4.0, 6, 8]]
    ends = [10.0] * 4
    assert cumulative.compare(calm, ends, calm, ends).p == pytest.approx(1)
    found = cumulative.compare(busy, ends, calm, ends)
    assert found.score > 0
    assert found.p < 0.05
    assert cumulative.compare(calm, ends, busy, ends).score == pytest.approx(-found.score)


def test_the_comparison_with_one_failure_a_unit_is_the_formula_s() -> None:
    # By hand: risks 2 and 2 throughout, weight 1, increments 1/2 each, so the score is
    # (1/2 + 1/2) - 1/2; the parts of the units are d/2 less the group's increments over 2.
    found = cumulative.compare([[1.0], [2.0]], [5, 5], [[3.0], []], [5, 5])
    assert found.score == pytest.approx(0.5)
    parts = [0.5 - 0.5, 0.5 - 0.5, 0.5 - 0.25, -0.25]
    assert found.chi_square == pytest.approx(0.25 / sum(one**2 for one in parts))


@pytest.mark.parametrize(("events", "ends"), [([[6.0]], [5]), ([[0.0]], [5]), ([[1.0]], [5, 6])])
def test_events_outside_the_watch_are_refused(
    events: list[list[float]], ends: list[float]
) -> None:
    with pytest.raises(InvalidError):
        cumulative.curve(events, ends)


def test_groups_that_share_no_age_are_refused() -> None:
    with pytest.raises(InvalidError, match="both groups"):
        cumulative.compare([[]], [5], [[]], [5])
