"""Which figure data must show, and must not, both ways; the thresholds are common practice."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import InvalidError
from kb.review.methods import choice, definitions
from kb.review.methods.choice import Data, Figure
from kb.review.methods.definitions import Basis

NONE = Data(0, 4000, 8, repaired=True)
FEW = Data(4, 4000, 8, repaired=True, ages=4)
REPAIRED = Data(13, 2000, 4, repaired=True, ages=13, repeats=True)
WORSE = replace(REPAIRED, trend_p=0.01)
CABLES = Data(7, 4000, 12, repaired=False, ages=7)
PAIR = replace(FEW, groups=2)
STEADY_PAIR = replace(REPAIRED, repeats=False, groups=2, trend_p=0.7)
MANY = replace(REPAIRED, groups=8)
CABLE_PAIR = replace(CABLES, groups=2)


@pytest.mark.parametrize(
    ("data", "shown", "hidden"),
    [
        (NONE, {Figure.EXPOSURE, Figure.BOUND}, {Figure.RATE, Figure.MEAN_TIME, Figure.TREND,
                                                Figure.WEIBULL, Figure.RATIO}),
        (FEW, {Figure.RATE, Figure.MEAN_TIME}, {Figure.BOUND, Figure.TREND, Figure.POWER_LAW,
                                                Figure.WEIBULL, Figure.CUMULATIVE,
                                                Figure.STEADY_AVAILABILITY}),
        (REPAIRED, {Figure.RATE, Figure.MEAN_TIME, Figure.TREND, Figure.POWER_LAW,
                    Figure.CUMULATIVE}, {Figure.WEIBULL, Figure.SURVIVAL, Figure.BOUND}),
        (WORSE, {Figure.RATE, Figure.TREND, Figure.CUMULATIVE}, {Figure.MEAN_TIME}),
        (CABLES, {Figure.RATE, Figure.SURVIVAL, Figure.WEIBULL}, {Figure.CUMULATIVE, Figure.TREND,
                                                                 Figure.POWER_LAW}),
        (replace(CABLES, ages=1), {Figure.SURVIVAL}, {Figure.WEIBULL}),
        (replace(REPAIRED, units=1), {Figure.TREND}, {Figure.CUMULATIVE}),
        (PAIR, {Figure.RATIO, Figure.SHRUNK}, {Figure.CURVES_TEST, Figure.LOG_RANK,
                                               Figure.RAW_RANKING}),
        (STEADY_PAIR, {Figure.RATIO}, {Figure.CURVES_TEST, Figure.LOG_RANK}),
        (replace(STEADY_PAIR, repeats=True), {Figure.RATIO, Figure.CURVES_TEST}, set()),
        (replace(STEADY_PAIR, trend_p=0.02), {Figure.CURVES_TEST}, {Figure.MEAN_TIME}),
        (CABLE_PAIR, {Figure.RATIO, Figure.LOG_RANK}, {Figure.CURVES_TEST}),
        (MANY, {Figure.SHRUNK}, {Figure.RAW_RANKING}),
        (REPAIRED, set(), {Figure.SHRUNK, Figure.RATIO}),
        (replace(NONE, groups=3), {Figure.SHRUNK}, {Figure.RATIO}),
        (replace(REPAIRED, unit_days=0), {Figure.EXPOSURE}, {Figure.RATE, Figure.BOUND}),
    ],
)  # fmt: skip
def test_data_show_what_they_carry_and_say_why_not_the_rest(
    data: Data, shown: set[Figure], hidden: set[Figure]
) -> None:
    plan = choice.decide(data)
    assert shown <= set(plan.shown)
    assert hidden <= {one.figure for one in plan.not_shown}
    assert all(plan.why_not(one) for one in hidden)
    assert all(plan.why_not(one) is None for one in shown)


@settings(max_examples=60, deadline=None)
@given(
    st.builds(
        Data,
        failures=st.integers(0, 12),
        unit_days=st.sampled_from([0, 10, 4000]),
        units=st.integers(1, 5),
        repaired=st.booleans(),
        groups=st.integers(1, 4),
        ages=st.integers(0, 5),
        repeats=st.booleans(),
        trend_p=st.sampled_from([None, 0.01, 0.5]),
    )
)
def test_every_figure_is_shown_or_has_its_reason(data: Data) -> None:
    plan = choice.decide(data)
    assert set(plan.shown) | {one.figure for one in plan.not_shown} == set(Figure)
    assert not set(plan.shown) & {one.figure for one in plan.not_shown}


def test_no_number_of_failures_is_refused() -> None:
    with pytest.raises(InvalidError):
        choice.decide(replace(NONE, failures=-1))


def test_the_line_under_a_figure_says_all_it_rests_on() -> None:
    missing = [one for one in choice.decide(FEW).not_shown if one.figure == Figure.TREND]
    basis = Basis(date(2025, 5, 1), date(2026, 11, 1), 4000, 4, 0.9)
    found = definitions.line(Figure.RATE, basis, missing)
    assert "per unit and year of 365.25 days" in found
    assert "4 failures in 4,000 unit-days, 2025-05-01 up to, not including, 2026-11-01" in found
    assert "limits 90 %" in found
    assert "No trend: 4 of the 5 failures that it needs." in found


def test_every_figure_has_its_definition() -> None:
    assert set(definitions.TEXTS) == set(Figure)
