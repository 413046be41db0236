"""How long it takes to get something back: mean time to restoration, with open jobs told.

The mean is over completed restorations (IEC 60050-192: mean time to restoration, waiting for
parts included). Open jobs are not over: leaving them out makes the mean look better just when
repairs stall, so they are told beside it, and the median is Kaplan and Meier's with open jobs
censored.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from kb.review.methods import inputs, survival
from kb.review.methods.rates import CONFIDENCE
from kb.review.methods.survival import Lives

FOR_AN_INTERVAL = 10
_DRAWS = 5_000
_MOST_AT_ONCE = 4_000_000
_SEED = 192


@dataclass(frozen=True)
class Restoration:
    """Times to restoration, in the unit they were given in.

    Attributes:
        completed: How many are over.
        mean: Of those; None without any.
        low: Lower limit of the mean, by bootstrap (BCa); with fewer than ten, the shortest.
        high: Upper limit; with fewer than ten, the longest.
        is_range: `low` and `high` are the range and no interval of the mean.
        median: Half are restored by then, open jobs counted; None where fewer than half are.
        longest: Of the completed ones.
        still_open: How many are not over.
        oldest_open: For how long the oldest of them has been open.
        confidence: Of the interval of the mean.
    """

    completed: int
    mean: float | None
    low: float | None
    high: float | None
    is_range: bool
    median: float | None
    longest: float | None
    still_open: int
    oldest_open: float | None
    confidence: float


def restoration(
    completed: Sequence[float],
    still_open: Sequence[float] = (),
    *,
    confidence: float = CONFIDENCE,
) -> Restoration:
    """Return the times to restoration.

    Args:
        completed: How long each restoration took, zero or more, in any unit.
        still_open: For how long each open job has been open.
        confidence: Of the two-sided interval of the mean.

    Raises:
        InvalidError: A time below zero, or no such confidence.
    """
    inputs.confidence(confidence)
    over, going = inputs.numbers("completed", completed), inputs.numbers("still_open", still_open)
    if (over < 0).any() or (going < 0).any():
        raise inputs.refused("completed", "one is below zero. Mend when it was restored.")
    found = len(over) >= FOR_AN_INTERVAL
    low: float | None = float(over.min()) if len(over) else None
    high: float | None = float(over.max()) if len(over) else None
    longest = high
    if found:
        low, high = mean_limits(completed, confidence=confidence)
    return Restoration(
        completed=len(over),
        mean=float(over.mean()) if len(over) else None,
        low=low,
        high=high,
        is_range=not found,
        median=_median(over, going),
        longest=longest,
        still_open=len(going),
        oldest_open=float(going.max()) if len(going) else None,
        confidence=confidence,
    )


def mean_limits(values: Sequence[float], *, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Return the bias-corrected and accelerated bootstrap limits of a mean (Efron 1987).

    Drawn with a fixed seed, so that the same values give the same limits.

    Args:
        values: At least two.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: Fewer than two, or no such confidence.
    """
    given = inputs.numbers("values", values)
    tail = (1 - inputs.confidence(confidence)) / 2
    n = len(given)
    if n < 2:  # noqa: PLR2004 - one value has no spread
        raise inputs.refused("values", "fewer than two have no interval. Give the value itself.")
    means = np.sort(_drawn_means(given))
    below = (means < given.mean()).mean() + (means == given.mean()).mean() / 2
    if below in (0, 1) or given.std() == 0:
        return float(given.mean()), float(given.mean())
    bias = float(ndtri(below))
    off = (given.sum() - given) / (n - 1)
    off = off.mean() - off
    skew = float((off**3).sum() / (6 * (off**2).sum() ** 1.5))
    found = []
    for z in (float(ndtri(tail)), float(ndtri(1 - tail))):
        share = float(ndtr(bias + (bias + z) / (1 - skew * (bias + z))))
        found.append(float(np.quantile(means, share)))
    return found[0], found[1]


def _drawn_means(given: inputs.Numbers) -> inputs.Numbers:
    """Return the means of redrawn samples, a block at a time, so that memory stays small."""
    chance = np.random.default_rng(_SEED)
    n = len(given)
    rows = max(1, min(_DRAWS, _MOST_AT_ONCE // n))
    blocks = [min(rows, _DRAWS - done) for done in range(0, _DRAWS, rows)]
    return np.concatenate([given[chance.integers(0, n, (b, n))].mean(axis=1) for b in blocks])


def _median(over: inputs.Numbers, going: inputs.Numbers) -> float | None:
    if not len(over):
        return None
    # A restoration can take no time at all, an age cannot: all are moved by the same bit.
    bit = 1.0
    lives = Lives(list(over + bit), list(going + bit))
    found = survival.kaplan_meier(lives).median
    return None if found is None else found - bit
