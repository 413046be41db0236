"""Duane's line through the mean time between failures so far: for the picture, not for limits.

Its points are cumulative and so not independent of each other; the power law fitted by maximum
likelihood gives another figure on the same data, and is the one to state.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kb.review.methods import inputs

_TO_FIT = 2


@dataclass(frozen=True)
class Duane:
    """The straight line through ln(age / number of failures) against ln(age); for the picture.

    Attributes:
        slope: alpha; above 0 is improving.
        scale: A: failures per time at age 1; the cumulative mean time at t is t ** slope / A.
        cumulative: Mean time between failures so far, on the line, at the last failure.
        instantaneous: cumulative / (1 - slope).
    """

    slope: float
    scale: float
    cumulative: float
    instantaneous: float


def line(events: Sequence[float]) -> Duane:
    """Return the Duane line of one unit's failures; its points are not independent of each other.

    Args:
        events: The ages of the failures, watched from age 0.

    Raises:
        InvalidError: Fewer than two, or one not above 0.
    """
    ages = np.sort(inputs.numbers("events", events, above=0))
    if len(np.unique(ages)) < _TO_FIT:
        raise inputs.refused("events", "fewer than two ages make no line. Wait for more.")
    slope, at_one = np.polyfit(np.log(ages), np.log(ages / np.arange(1, len(ages) + 1)), 1)
    cumulative = float(np.exp(at_one) * ages[-1] ** slope)
    return Duane(float(slope), float(np.exp(-at_one)), cumulative, cumulative / (1 - float(slope)))
