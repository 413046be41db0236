"""The power law of failures of things that are repaired (IEC 61710, MIL-HDBK-189, Crow 1975).

A unit's expected failures up to age t are (t / eta) ** beta = scale * t ** beta. A shape beta
above 1 is worsening, below 1 improving. Repairs are taken to leave a unit as bad as it was.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize_scalar
from scipy.special import chdtri, ndtri

from kb.review.methods import inputs, trend
from kb.review.methods.rates import CONFIDENCE

_SHAPES = (1e-3, 60.0)
_DRAWS = 2_000
_MOST_DRAWN = 300  # the distribution no longer changes there
_TO_FIT = 2
_SEED = 189


@dataclass(frozen=True)
class PowerLaw:
    """A fitted power law.

    Attributes:
        failures: How many it rests on.
        beta: Shape by maximum likelihood, one scale for all units.
        scale: lambda: failures expected per unit by age 1 (in the unit of the ages).
        eta: scale ** (-1 / beta).
        beta_conditional: Shape by maximum likelihood where each unit may have a scale of its
            own; the same as `beta` where all were watched equally long.
        beta_unbiased: The conditional one without its bias.
        low: Lower limit of the shape, exact and conditional.
        high: Upper limit.
        confidence: Of the two-sided interval from `low` to `high`.
        intensity: Failures per unit and time at the greatest age watched.
        misfit: Cramer-von Mises statistic of the unbiased conditional shape.
        fit_p: The chance of a greater misfit where the law holds, by 2,000 drawn histories.
    """

    failures: int
    beta: float
    scale: float
    eta: float
    beta_conditional: float
    beta_unbiased: float
    low: float
    high: float
    confidence: float
    intensity: float
    misfit: float
    fit_p: float


@dataclass(frozen=True)
class CurrentMeanTime:
    """The mean time between failures at the end of the watch, of one unit.

    Attributes:
        mean: By the modified estimate of the shape, (n - 1) / sum ln(T / t).
        low: Lower limit (NIST/SEMATECH e-Handbook 8.4.5.2).
        high: Upper limit.
        beta: The modified shape.
        scale: lambda that goes with it.
    """

    mean: float
    low: float
    high: float
    beta: float
    scale: float


def fit(
    events: trend.Events,
    ends: Sequence[float] | None = None,
    *,
    failure_terminated: bool = False,
    confidence: float = CONFIDENCE,
) -> PowerLaw:
    """Return the power law of units that were watched from age 0 on.

    Args:
        events: The ages of each unit's failures; ties are fine, 0 isn't.
        ends: Up to which age each unit was watched.
        failure_terminated: Each unit was watched up to its last failure.
        confidence: Of the two-sided interval of the shape.

    Raises:
        InvalidError: As for `trend.spans`, or fewer than two failures besides those that end a
            unit's watch, or no such confidence.
    """
    given = trend.spans(events, ends, failure_terminated=failure_terminated)
    tail = (1 - inputs.confidence(confidence)) / 2
    counted = given.count
    if counted < _TO_FIT:
        raise inputs.refused("events", "fewer than two failures make no law. Wait for more.")
    units = len(given.ends)
    failures = counted + (units if failure_terminated else 0)
    left = sum(trend.logs_left(given))
    beta = _shape(given, failures, failures_at_end=failure_terminated)
    conditional = failures / left if failure_terminated else counted / left
    unbiased = (counted - 1) / left
    scale = failures / float((given.ends**beta).sum())
    degrees = 2 * counted
    low, high = (float(chdtri(degrees, q)) / (2 * left) for q in (1 - tail, tail))
    misfit = cramer_von_mises(_shares(given).tolist(), unbiased)
    return PowerLaw(
        failures=failures,
        beta=beta,
        scale=scale,
        eta=scale ** (-1 / beta),
        beta_conditional=conditional,
        beta_unbiased=unbiased,
        low=low,
        high=high,
        confidence=confidence,
        intensity=scale * beta * float(given.ends.max()) ** (beta - 1),
        misfit=misfit,
        fit_p=_fit_p(misfit, counted),
    )


def normal_limits(
    beta: float, failures: int, *, confidence: float = CONFIDENCE
) -> tuple[float, float]:
    """Return the large-sample limits of the shape, beta (1 -+ z / sqrt(n)); the exact ones differ.

    Args:
        beta: The shape by maximum likelihood.
        failures: How many it rests on.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: No failure, or no such confidence.
    """
    z = float(ndtri((1 + inputs.confidence(confidence)) / 2))
    off = z * beta / float(np.sqrt(inputs.above_zero("failures", failures)))
    return beta - off, beta + off


def scale_limits(
    failures: int, ends: Sequence[float], beta: float, *, confidence: float = CONFIDENCE
) -> tuple[float, float]:
    """Return the exact limits of lambda where the shape is known (Crow 1975).

    Args:
        failures: Over all units.
        ends: Up to which age each unit was watched, from age 0.
        beta: The known shape.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: A count below zero, an end not above zero, or no such confidence.
    """
    n = inputs.count("failures", failures)
    tail = (1 - inputs.confidence(confidence)) / 2
    watched = 2 * float((inputs.numbers("ends", ends, above=0) ** beta).sum())
    low = float(chdtri(2 * n, 1 - tail)) / watched if n else 0.0
    return low, float(chdtri(2 * n + 2, tail)) / watched


def current_mean_time(
    events: Sequence[float], end: float, *, confidence: float = CONFIDENCE
) -> CurrentMeanTime:
    """Return the mean time between failures that one unit has come to.

    Args:
        events: The ages of its failures, watched from age 0.
        end: Up to which age it was watched.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: As for `fit`.
    """
    given = trend.spans([events], [end])
    z = float(ndtri((1 + inputs.confidence(confidence)) / 2))
    n = given.count
    if n < _TO_FIT:
        raise inputs.refused("events", "fewer than two failures make no law. Wait for more.")
    beta = (n - 1) / sum(trend.logs_left(given))
    mean = end / (n * beta)
    low = n * (n - 1) / (n + z**2 / 4 + (n * z**2 / 2 + z**4 / 16) ** 0.5) ** 2
    under = n - z * (n / 2) ** 0.5
    high = n * (n - 1) / under**2 if under > 0 else float("inf")
    return CurrentMeanTime(mean, mean * low, mean * high, beta, n / end**beta)


def fit_grouped(ends: Sequence[float], counts: Sequence[int]) -> tuple[float, float]:
    """Return shape and scale of the power law where only counts of intervals are known.

    Args:
        ends: The age at which each interval ends, rising; the first one begins at 0.
        counts: The failures in each.

    Raises:
        InvalidError: Ends that don't rise, lists that don't match, or no failure.
    """
    inputs.alike("counts", ends, counts)
    n = np.array([inputs.count("counts", one) for one in counts])
    edges = np.concatenate([[0.0], inputs.numbers("ends", ends, above=0)])
    if (np.diff(edges) <= 0).any() or not n.sum():
        raise inputs.refused("ends", "they must rise, and hold a failure. Put them in order.")
    shares, some = edges / edges[-1], n > 0

    def unlikely(beta: float) -> float:
        return -float((n[some] * np.log(np.diff(shares**beta)[some])).sum())

    beta = float(minimize_scalar(unlikely, bounds=_SHAPES, method="bounded", options=_EXACT).x)
    return beta, float(n.sum()) / float(edges[-1]) ** beta


def cramer_von_mises(shares: Sequence[float], beta: float) -> float:
    """Return the Cramer-von Mises statistic of a power law.

    Args:
        shares: Each failure's age over its unit's end.
        beta: The shape, without its bias.
    """
    given = np.sort(np.asarray(shares, dtype=np.float64)) ** beta
    n = len(given)
    wanted = (2 * np.arange(1, n + 1) - 1) / (2 * n)
    return 1 / (12 * n) + float(((given - wanted) ** 2).sum())


_EXACT = {"xatol": 1e-12, "maxiter": 1_000}


def _shares(given: trend.Spans) -> inputs.Numbers:
    shares: inputs.Numbers = np.concatenate(
        [one / end for one, end in zip(given.events, given.ends, strict=True)]
    )
    return shares


def _shape(given: trend.Spans, failures: int, *, failures_at_end: bool) -> float:
    """Return the shape by maximum likelihood, one scale for all units."""
    top = float(given.ends.max())
    ends = given.ends / top
    logs = sum(float(np.log(one / top).sum()) for one in given.events)
    if failures_at_end:
        logs += float(np.log(ends).sum())

    def slope(beta: float) -> float:
        weights = ends**beta
        return (
            failures / beta
            + logs
            - failures * float((weights * np.log(ends)).sum() / weights.sum())
        )

    return float(brentq(slope, *_SHAPES, xtol=1e-13))


def _fit_p(misfit: float, counted: int) -> float:
    """Return the chance of a greater misfit, drawn with a fixed seed: the same each time.

    Whatever the shape and the scale, the shares of failures are as uniform ones are.
    """
    n = min(counted, _MOST_DRAWN)
    drawn = np.random.default_rng(_SEED).random((_DRAWS, n))
    beta = (n - 1) / -np.log(drawn).sum(axis=1)
    powers = np.sort(drawn, axis=1) ** beta[:, None]
    wanted = (2 * np.arange(1, n + 1) - 1) / (2 * n)
    misfits = 1 / (12 * n) + ((powers - wanted) ** 2).sum(axis=1)
    return float((misfits >= misfit).sum() + 1) / (_DRAWS + 1)
