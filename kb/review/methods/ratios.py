"""Two failure rates compared, exactly; many comparisons kept honest.

Given the sum of both counts, the first is binomial with p = t1 R / (t1 R + t2), where R is the
ratio of the rates (Przyborowski and Wilenski 1940). The two-sided p is twice the smaller tail,
at most 1 (central), which never contradicts the Clopper-Pearson limits that the interval of R
is made of. The minimum-likelihood p of many programs can: it is given only to be told apart.

All of it assumes rates that are constant in time and failures that don't cause each other.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import bdtr, bdtrc, betaincinv, gammaln, pdtr, pdtrik, xlogy

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE

_SLACK = 1 + 1e-7  # outcomes as likely as the one seen, whatever the last digit says
_TAIL = 1e-12


@dataclass(frozen=True)
class RateRatio:
    """The first rate over the second.

    Attributes:
        ratio: Of the two rates; None where the second has no failure.
        low: Lower limit; 0 where the first has no failure.
        high: Upper limit; None ('no limit') where the second has no failure.
        confidence: Of the two-sided interval from `low` to `high`.
        p: Two-sided, central: twice the smaller of `p_less` and `p_greater`, at most 1.
        p_less: One-sided, that the first rate is not below the second.
        p_greater: One-sided, that the first rate is not above the second.
        mid_p_greater: As `p_greater`, the outcome seen counted by half; less conservative.
        p_minimum_likelihood: The sum over all outcomes no likelier than the one seen; may
            contradict the interval.
    """

    ratio: float | None
    low: float
    high: float | None
    confidence: float
    p: float
    p_less: float
    p_greater: float
    mid_p_greater: float
    p_minimum_likelihood: float


def rate_ratio(
    failures: int,
    exposure: float,
    other_failures: int,
    other_exposure: float,
    *,
    confidence: float = CONFIDENCE,
) -> RateRatio:
    """Return the ratio of two rates with exact limits and p-values.

    Args:
        failures: Of the first group.
        exposure: Of the first group, above zero, in any unit of time.
        other_failures: Of the second group.
        other_exposure: Of the second group, in the same unit.
        confidence: Of the two-sided interval, between 0 and 1.

    Raises:
        InvalidError: A count below zero, no exposure, or no such confidence.
    """
    x1, x2 = inputs.count("failures", failures), inputs.count("failures", other_failures)
    t1 = inputs.above_zero("exposure", exposure)
    t2 = inputs.above_zero("exposure", other_exposure)
    tail = (1 - inputs.confidence(confidence)) / 2
    p0, n = t1 / (t1 + t2), x1 + x2
    less, greater = float(bdtr(x1, n, p0)), float(bdtrc(x1 - 1, n, p0)) if x1 else 1.0
    low = float(betaincinv(x1, x2 + 1, tail)) if x1 else 0.0
    high = float(betaincinv(x1 + 1, x2, 1 - tail)) if x2 else None
    logs = _log_binomial(n, p0)
    return RateRatio(
        ratio=(x1 / t1) / (x2 / t2) if x2 else None,
        low=_odds(low) * t2 / t1,
        high=None if high is None else _odds(high) * t2 / t1,
        confidence=confidence,
        p=min(1.0, 2 * min(less, greater)),
        p_less=less,
        p_greater=greater,
        mid_p_greater=greater - float(np.exp(logs[x1])) / 2,
        p_minimum_likelihood=_as_likely(logs, x1),
    )


def e_test(failures: int, exposure: float, other_failures: int, other_exposure: float) -> float:
    """Return the two-sided p of the unconditional E-test (Krishnamoorthy and Thomson 2004).

    More powerful than the exact conditional test with few failures, but it has no interval.

    Args:
        failures: Of the first group.
        exposure: Of the first group, above zero, in any unit of time.
        other_failures: Of the second group.
        other_exposure: Of the second group, in the same unit.

    Raises:
        InvalidError: A count below zero or no exposure.
    """
    x1, x2 = inputs.count("failures", failures), inputs.count("failures", other_failures)
    t1 = inputs.above_zero("exposure", exposure)
    t2 = inputs.above_zero("exposure", other_exposure)
    if x1 + x2 == 0:
        return 1.0
    pooled = (x1 + x2) / (t1 + t2)
    counts = [_likely_counts(pooled * t) for t in (t1, t2)]
    first, second = np.meshgrid(*counts, indexing="ij")
    seen = abs(_standardised(np.array(x1), np.array(x2), t1, t2))
    far = np.abs(_standardised(first, second, t1, t2)) >= seen - _TAIL
    chances = np.outer(_poisson(counts[0], pooled * t1), _poisson(counts[1], pooled * t2))
    return float(min(1.0, chances[far].sum()))


def holm(p_values: Sequence[float]) -> tuple[float, ...]:
    """Return p-values adjusted for being several (Holm 1979), in the order given.

    Args:
        p_values: Each between 0 and 1.

    Raises:
        InvalidError: One isn't.
    """
    given = inputs.numbers("p_values", p_values)
    if ((given < 0) | (given > 1)).any():
        raise inputs.refused("p_values", "one is not between 0 and 1. Give probabilities.")
    order = np.argsort(given, kind="stable")
    factors = np.arange(len(given), 0, -1)
    adjusted = np.empty_like(given)
    adjusted[order] = np.minimum(1, np.maximum.accumulate(given[order] * factors))
    return tuple(float(p) for p in adjusted)


def _odds(p: float) -> float:
    return p / (1 - p)


def _log_binomial(n: int, p: float) -> inputs.Numbers:
    """Return the logarithm of each outcome's chance, from 0 to n."""
    k = np.arange(n + 1)
    chosen = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    logs: inputs.Numbers = chosen + xlogy(k, p) + xlogy(n - k, 1 - p)
    return logs


def _as_likely(logs: inputs.Numbers, seen: int) -> float:
    chances = np.exp(logs)
    return float(min(1.0, chances[chances <= chances[seen] * _SLACK].sum()))


def _likely_counts(mean: float) -> inputs.Numbers:
    """Return the counts that a Poisson of this mean is worth summing over."""
    top = int(pdtrik(1 - _TAIL, mean)) + 2
    bottom = max(0, int(mean - 8 * mean**0.5) - 1)
    return np.arange(bottom, top + 1, dtype=np.float64)


def _poisson(counts: inputs.Numbers, mean: float) -> inputs.Numbers:
    chances: inputs.Numbers = pdtr(counts, mean) - np.where(
        counts > 0, pdtr(np.maximum(counts - 1, 0), mean), 0
    )
    return chances


def _standardised(x1: inputs.Numbers, x2: inputs.Numbers, t1: float, t2: float) -> inputs.Numbers:
    """Return the difference of the rates over its standard error; 0 where both are 0."""
    spread = np.sqrt(x1 / t1**2 + x2 / t2**2)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(spread > 0, (x1 / t1 - x2 / t2) / spread, 0.0)
