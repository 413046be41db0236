"""A falling speed and the day it crosses what is needed, held to other ways of computing them."""

from math import exp, inf, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from kb.errors import InvalidError
from kb.review.methods import wear

points = st.lists(st.floats(-5, 5), min_size=4, max_size=10)


@settings(max_examples=40, deadline=None)
@given(points)
def test_the_line_is_scipy_s(heights: list[float]) -> None:
    times = [float(n) for n in range(len(heights))]
    found, theirs = wear.fit_line(times, heights), stats.linregress(times, heights)
    assert (found.slope, found.at_zero) == pytest.approx(
        (theirs.slope, theirs.intercept), abs=1e-9
    )
    half = stats.t.ppf(0.95, len(times) - 2) * np.nan_to_num(theirs.stderr)
    assert found.slope_high - found.slope == pytest.approx(half, abs=1e-6)
    if found.error > 1e-3:
        assert found.slope_p == pytest.approx(theirs.pvalue, abs=1e-6)


def test_limits_of_the_day_are_where_the_line_s_interval_reaches_the_level() -> None:
    times, speeds = [0.0, 90, 180, 270, 360, 450], [200.0, 170, 138, 118, 96, 82]
    found = wear.wear(times, speeds, 41.3)
    level = log(41.3)
    edges = [
        optimize.brentq(lambda t, at=at: found.line.height(t)[at] - level, 300, 3000)
        for at in (1, 2)
    ]
    assert found.crossing.time == pytest.approx((level - found.line.at_zero) / found.line.slope)
    assert (found.crossing.low, found.crossing.high) == pytest.approx(tuple(edges))
    assert found.crossing.low < (found.crossing.time or 0) < found.crossing.high
    assert found.slows


def test_a_steady_loss_is_found_again() -> None:
    times = [0.0, 1, 2, 3, 4, 5]
    noise = np.array([1, -1, 0, 1, -1, 0]) * 1e-6
    speeds = [200 * exp(log(0.8) * t + e) for t, e in zip(times, noise, strict=True)]
    found = wear.wear(times, speeds, 50)
    assert found.loss == pytest.approx(0.2, abs=1e-5)
    assert found.loss_low <= found.loss <= found.loss_high
    assert found.crossing.time == pytest.approx(log(50 / 200) / log(0.8), abs=1e-3)


def test_what_stays_flat_crosses_nothing() -> None:
    found = wear.wear([0, 1, 2, 3, 4], [400, 402, 399, 401, 400], 41.3)
    assert (found.crossing.low, found.crossing.high) == (-inf, inf)
    assert not found.slows
    level = wear.crossing(wear.fit_line([0, 1, 2], [5.0, 5, 5]), 3)
    assert (level.time, level.high) == (None, inf)


def test_two_times_make_no_line() -> None:
    with pytest.raises(InvalidError, match="three"):
        wear.fit_line([0, 1, 1], [1, 2, 3])
    with pytest.raises(InvalidError, match="values"):
        wear.wear([0, 1, 2], [1, 0, 3], 1)
