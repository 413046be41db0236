"""A figure that falls with time, and when it will have come to a limit: drive write speed.

Speed falls by a share of itself, so the line is of its logarithm. The day it crosses what is
needed has Fieller's limits (inverse prediction of the line): where the slope can't be told from
flat they reach to infinity, and no day is given. A line says nothing about a change of habit,
a new firmware or a drive that is heated; a bench value is above what a hot recorder sees.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, log, sqrt

import numpy as np
from scipy.special import stdtr, stdtrit

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE

FOR_A_LINE = 4


@dataclass(frozen=True)
class Line:
    """A straight line by least squares.

    Attributes:
        points: How many it rests on.
        at_zero: Its height at time 0.
        slope: Its rise per unit of time.
        slope_low: Lower limit, Student's t.
        slope_high: Upper limit.
        slope_p: Two-sided, that it is flat.
        error: Residual standard deviation, points - 2 degrees of freedom.
        middle: Mean of the times.
        spread: Sum of the squared distances of the times from it.
        confidence: Of the two-sided interval.
    """

    points: int
    at_zero: float
    slope: float
    slope_low: float
    slope_high: float
    slope_p: float
    error: float
    middle: float
    spread: float
    confidence: float

    def height(self, time: float) -> tuple[float, float, float]:
        """Return the line at a time with the limits of its height there."""
        off = _quantile(self) * self.error * sqrt(self.leverage(time))
        height = self.at_zero + self.slope * time
        return height, height - off, height + off

    def leverage(self, time: float) -> float:
        """Return the variance of the line's height at a time, over that of a point."""
        return 1 / self.points + (time - self.middle) ** 2 / self.spread


@dataclass(frozen=True)
class Crossing:
    """When a line comes to a level.

    Attributes:
        time: On the line; None where it doesn't fall.
        low: Earliest, by Fieller's limits; -inf where nothing bounds it.
        high: Latest; inf where nothing bounds it.
        confidence: Of the two-sided interval.
    """

    time: float | None
    low: float
    high: float
    confidence: float


@dataclass(frozen=True)
class Wear:
    """How fast something falls, and when it comes to what is needed.

    Attributes:
        line: Of the natural logarithm of the figure.
        loss: The share lost per unit of time, 1 - exp(slope).
        loss_low: Lower limit of it.
        loss_high: Upper limit of it.
        crossing: When the line comes to what is needed.
        slows: The whole interval of the slope lies below 0.
    """

    line: Line
    loss: float
    loss_low: float
    loss_high: float
    crossing: Crossing
    slows: bool


def wear(
    times: Sequence[float],
    values: Sequence[float],
    needed: float,
    *,
    confidence: float = CONFIDENCE,
) -> Wear:
    """Return how fast a figure falls and when it will have come to what is needed.

    Args:
        times: When each was measured, in any unit, at three or more times.
        values: What was measured, above zero.
        needed: The level that is needed, above zero, in the unit of the values.
        confidence: Of each two-sided interval.

    Raises:
        InvalidError: Too few times, a value not above zero, or no such confidence.
    """
    logs = np.log(inputs.numbers("values", values, above=0))
    line = fit_line(times, [float(one) for one in logs], confidence=confidence)
    crossed = crossing(line, log(inputs.above_zero("needed", needed)))
    losses = [1 - exp(slope) for slope in (line.slope, line.slope_high, line.slope_low)]
    return Wear(line, losses[0], losses[1], losses[2], crossed, line.slope_high < 0)


def fit_line(
    times: Sequence[float], heights: Sequence[float], *, confidence: float = CONFIDENCE
) -> Line:
    """Return the straight line through points by least squares.

    Args:
        times: Of each point, at three or more different times.
        heights: Of each point.
        confidence: Of the two-sided interval of the slope.

    Raises:
        InvalidError: Too few times, lists that don't match, or no such confidence.
    """
    inputs.alike("heights", times, heights)
    inputs.confidence(confidence)
    x, y = inputs.numbers("times", times), inputs.numbers("heights", heights)
    if len(np.unique(x)) < FOR_A_LINE - 1:
        raise inputs.refused("times", "fewer than three make no line with limits. Wait for more.")
    middle = float(x.mean())
    spread = float(((x - middle) ** 2).sum())
    slope = float(((x - middle) * (y - y.mean())).sum() / spread)
    at_zero = float(y.mean()) - slope * middle
    degrees = len(x) - 2
    error = sqrt(float(((y - at_zero - slope * x) ** 2).sum()) / degrees)
    of_slope = error / sqrt(spread)
    off = float(stdtrit(degrees, (1 + confidence) / 2)) * of_slope
    p = 2 * float(stdtr(degrees, -abs(slope) / of_slope)) if of_slope else float(slope == 0)
    return Line(
        len(x), at_zero, slope, slope - off, slope + off, p, error, middle, spread, confidence
    )


def crossing(line: Line, level: float) -> Crossing:
    """Return when a line comes to a level, with Fieller's limits.

    The limits hold all times at which the line's own interval reaches the level.

    Args:
        line: The line.
        level: The level, in the unit of its heights.
    """
    if line.slope == 0:
        return Crossing(None, -inf, inf, line.confidence)
    time = (level - line.at_zero) / line.slope
    t = _quantile(line) * line.error
    bent = t**2 / line.spread
    a = line.slope**2 - bent
    if a <= 0:
        return Crossing(time if line.slope < 0 else None, -inf, inf, line.confidence)
    away = level - line.at_zero - line.slope * line.middle
    centre = line.slope * away / a
    half = sqrt(max(0.0, t**2 * (away**2 / line.spread + a / line.points))) / a
    ends = (line.middle + centre - half, line.middle + centre + half)
    return Crossing(time if line.slope < 0 else None, *ends, line.confidence)


def _quantile(line: Line) -> float:
    return float(stdtrit(line.points - 2, (1 + line.confidence) / 2))
