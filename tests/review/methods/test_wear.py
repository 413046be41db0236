"""Lines and the day they cross a level agree with SciPy's and with Fieller's theorem."""

from math import exp, inf, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import wear

points = st.lists(
    st.tuples(st.integers(0, 400), st.floats(-5, 5)),
    min_size=4,
    max_size=12,
    unique_by=lambda p: p[0],
)


@settings(max_examples=30, deadline=None)
@given(points)
def test_the_line_is_scipy_s(given_points: list[tuple[int, float]]) -> None:
    times, heights = zip(*given_points, strict=True)
    line, theirs = wear.fit_line(times, heights), stats.linregress(times, heights)
    assert line.slope == pytest.approx(theirs.slope, abs=1e-9)
    assert line.at_zero == pytest.approx(theirs.intercept, abs=1e-8)
    off = stats.t.ppf(0.95, len(times) - 2) * theirs.stderr
    assert line.slope_high - line.slope == pytest.approx(off, abs=1e-9)
    if theirs.stderr > 1e-9:
        assert line.slope_p == pytest.approx(theirs.pvalue, abs=1e-6)


def test_the_limits_of_the_crossing_are_where_the_line_s_limits_cross() -> None:
    times, heights = [0, 90, 180, 270, 360], [5.2, 5.0, 4.81, 4.58, 4.43]
    line = wear.fit_line(times, heights)
    found = wear.crossing(line, 3.7)
    assert found.time is not None
    assert found.low < found.time < found.high
    assert line.height(found.low)[1] == pytest.approx(3.7)
    assert line.height(found.high)[2] == pytest.approx(3.7)


def test_speed_lost_by_a_share_a_year() -> None:
    years = np.arange(6) / 4
    speeds = 200 * 0.6**years * np.array([1.01, 0.99, 1.0, 1.01, 0.99, 1.0])
    found = wear.wear(list(years), list(speeds), 41.3)
    assert found.slows
    assert found.loss == pytest.approx(0.4, abs=0.02)
    assert found.loss_low < found.loss < found.loss_high
    assert found.crossing.time == pytest.approx(log(41.3 / 200) / log(0.6), abs=0.15)
    assert found.loss == pytest.approx(1 - exp(found.line.slope))


def test_flat_has_no_day() -> None:
    found = wear.wear([0, 1, 2, 3], [400, 403, 398, 401], 41.3)
    assert not found.slows
    assert (found.crossing.low, found.crossing.high) == (-inf, inf)
    level = wear.wear([0, 1, 2], [400, 400, 400], 41.3)
    assert level.crossing.time is None


@pytest.mark.parametrize(
    ("times", "values"), [([0, 1], [5, 4]), ([0, 1, 1], [5, 4, 4]), ([0, 1, 2], [5, 4, 0])]
)
def test_too_few_times_or_no_speed_is_refused(times: list[float], values: list[float]) -> None:
    with pytest.raises(InvalidError):
        wear.wear(times, values, 41.3)
