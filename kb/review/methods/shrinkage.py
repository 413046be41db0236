"""Rates of many small groups, each drawn towards what all of them show.

Counts are Poisson, rates of a class of models come from one gamma distribution; the posterior
of a rate is gamma again. A plug-in fit of that distribution (`fit_prior`, by the marginal
negative binomial likelihood) runs off where no spread is seen; `hierarchical` integrates over
its parameters instead, with the priors of the 'Pump' example of BUGS. `shrunk_rates` does so on
exposures divided by the fleet's mean time per failure, so that the answer doesn't depend on the
unit of time: that is what a ranking should use, by the lower limit, never by the mean.

Assumes groups that are of one kind (not cables beside switchers) and rates constant in time.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize
from scipy.special import gammainc, gammaincinv, gammaln, xlogy

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE

_STEPS = 40
_ROUNDS = 5
_NEGLIGIBLE = -18.0  # of a log weight, below the highest
_HALVINGS = 60
_RUNS_OFF = 1e4
_BOUNDS = ((-25.0, 8.0), (-25.0, 8.0))  # of ln shape and ln rate


@dataclass(frozen=True)
class Gamma:
    """A gamma distribution of a rate: mean `shape / rate`, in the time that `rate` is in."""

    shape: float
    rate: float


@dataclass(frozen=True)
class Shrunk:
    """What is believed of one group's rate.

    Attributes:
        mean: Posterior mean, per unit of exposure.
        low: Lower limit of the equal-tailed credible interval; what to rank by.
        high: Its upper limit.
    """

    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Hierarchy:
    """All groups' rates, and the posterior means of what they come from."""

    groups: tuple[Shrunk, ...]
    shape_mean: float
    rate_mean: float


def posterior(
    failures: int, exposure: float, prior: Gamma, *, confidence: float = CONFIDENCE
) -> Shrunk:
    """Return what is believed of a rate after failures in an exposure, given a prior.

    Args:
        failures: How many were counted.
        exposure: Zero or above, in the unit of time of the prior.
        prior: What was believed before; a rate of 0 is allowed (Jeffreys: 1/2 and 0; flat: 1
            and 0).
        confidence: Of the equal-tailed interval.

    Raises:
        InvalidError: A count or an exposure below zero, or no such confidence.
    """
    shape = prior.shape + inputs.count("failures", failures)
    rate = inputs.above_zero("exposure", prior.rate + exposure)
    tail = (1 - inputs.confidence(confidence)) / 2
    low, high = (float(gammaincinv(shape, q)) / rate for q in (tail, 1 - tail))
    return Shrunk(shape / rate, low, high)


def prior_from_judgement(mtbf_middle: float, mtbf_low: float, *, sure: float = 0.95) -> Gamma:
    """Return the prior that says: as likely as not above the one, surely above the other.

    NIST/SEMATECH e-Handbook 8.4.2: P(MTBF > mtbf_middle) = 1/2, P(MTBF > mtbf_low) = sure.

    Args:
        mtbf_middle: Mean time between failures, in any unit of time.
        mtbf_low: A lower one, in the same unit.
        sure: How sure, above 1/2.

    Raises:
        InvalidError: The second isn't below the first, or `sure` not above a half.
    """
    inputs.above_zero("mtbf_low", mtbf_low)
    half = 0.5
    if not (mtbf_low < mtbf_middle and half < sure < 1):
        raise inputs.refused("mtbf_low", "give a lower time than the middle one, surer than 1/2.")
    wanted = np.log(mtbf_middle / mtbf_low)

    def off(log_shape: float) -> float:
        shape = np.exp(log_shape)
        return float(np.log(gammaincinv(shape, sure) / gammaincinv(shape, half)) - wanted)

    shape = float(np.exp(brentq(off, -3, 12, xtol=1e-14)))
    return Gamma(shape, float(gammaincinv(shape, half)) * mtbf_middle)


def fit_prior(failures: Sequence[int], exposures: Sequence[float]) -> Gamma | None:
    """Return the gamma that the groups' rates come from, by maximum marginal likelihood.

    Args:
        failures: Of each group.
        exposures: Of each group, above zero, in one unit of time.

    Returns:
        The distribution, its rate in the unit of the exposures; None where no spread beyond
        chance is seen, so that the likelihood has no highest point.

    Raises:
        InvalidError: A count below zero, no exposure, or lists that don't match.
    """
    x, t = _given(failures, exposures)
    if x.sum() == 0:
        return None
    mean_time = t.sum() / x.sum()
    found = minimize(
        lambda at: -_log_marginal(x, t / mean_time, np.exp(at[0]), np.exp(at[1])),
        (0.0, 0.0),
        method="Nelder-Mead",
        options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 4000},
    )
    shape, rate = (float(np.exp(at)) for at in found.x)
    return None if max(shape, rate) > _RUNS_OFF else Gamma(shape, rate * float(mean_time))


def hierarchical(
    failures: Sequence[int], exposures: Sequence[float], *, confidence: float = CONFIDENCE
) -> Hierarchy:
    """Return every group's rate, the distribution they come from integrated over.

    Shape ~ Exponential(1), rate ~ Gamma(0.1, 1): these depend on the unit of the exposures.

    Args:
        failures: Of each group.
        exposures: Of each group, above zero.
        confidence: Of the equal-tailed credible intervals.

    Raises:
        InvalidError: A count below zero, no exposure, lists that don't match, or no such
            confidence.
    """
    x, t = _given(failures, exposures)
    tail = (1 - inputs.confidence(confidence)) / 2
    if not len(x):
        return Hierarchy((), 1.0, 0.1)
    shape, rate, weight = _grid(x, t)
    means = (weight[:, None] * (shape[:, None] + x) / (rate[:, None] + t)).sum(axis=0)
    low, high = (_quantiles(shape, rate, weight, x, t, q) for q in (tail, 1 - tail))
    groups = tuple(
        Shrunk(float(m), float(a), float(b)) for m, a, b in zip(means, low, high, strict=True)
    )
    return Hierarchy(groups, float((weight * shape).sum()), float((weight * rate).sum()))


def shrunk_rates(
    failures: Sequence[int], exposures: Sequence[float], *, confidence: float = CONFIDENCE
) -> tuple[Shrunk, ...]:
    """Return every group's rate per unit of exposure, whatever that unit is.

    Without any failure at all each group gets Jeffreys' posterior.

    Args:
        failures: Of each group.
        exposures: Of each group, above zero.
        confidence: Of the equal-tailed credible intervals.

    Raises:
        InvalidError: As for `hierarchical`.
    """
    x, t = _given(failures, exposures)
    if x.sum() == 0:
        jeffreys = Gamma(0.5, 0.0)
        return tuple(posterior(0, float(one), jeffreys, confidence=confidence) for one in t)
    mean_time = float(t.sum() / x.sum())
    found = hierarchical(failures, list(t / mean_time), confidence=confidence)
    return tuple(
        Shrunk(one.mean / mean_time, one.low / mean_time, one.high / mean_time)
        for one in found.groups
    )


def _given(
    failures: Sequence[int], exposures: Sequence[float]
) -> tuple[inputs.Numbers, inputs.Numbers]:
    inputs.alike("exposures", failures, exposures)
    x = np.array([inputs.count("failures", one) for one in failures], dtype=np.float64)
    return x, inputs.numbers("exposures", exposures, above=0)


def _log_marginal(x: inputs.Numbers, t: inputs.Numbers, shape: float, rate: float) -> float:
    """Return the negative binomial log likelihood, without what doesn't depend on the prior."""
    parts = gammaln(shape + x) - gammaln(shape) + xlogy(shape, rate)
    return float((parts - (shape + x) * np.log(rate + t)).sum())


def _grid(
    x: inputs.Numbers, t: inputs.Numbers
) -> tuple[inputs.Numbers, inputs.Numbers, inputs.Numbers]:
    """Return shapes, rates and their posterior weights, what is negligible left out.

    Each round lays the grid anew where the last one found weight, so that it fits two groups
    and hundreds alike.
    """
    spans = list(_BOUNDS)
    for _ in range(_ROUNDS):
        a, b = (each.ravel() for each in np.meshgrid(*(np.linspace(*s, _STEPS) for s in spans)))
        weight = _log_weight(x, t, a, b)
        kept = weight > weight.max() + _NEGLIGIBLE
        steps = [(high - low) / (_STEPS - 1) for low, high in spans]
        spans = [
            (each[kept].min() - step, each[kept].max() + step)
            for each, step in zip((a, b), steps, strict=True)
        ]
    weight = np.exp(weight[kept] - weight.max())
    return np.exp(a[kept]), np.exp(b[kept]), weight / weight.sum()


def _log_weight(
    x: inputs.Numbers, t: inputs.Numbers, a: inputs.Numbers, b: inputs.Numbers
) -> inputs.Numbers:
    """Return the log posterior at ln shape `a` and ln rate `b`, per step of these."""
    shape, rate = np.exp(a), np.exp(b)
    weight = -shape + a + 0.1 * b - rate  # the priors, and the step in logarithms
    for failures, exposure in zip(x, t, strict=True):
        weight = weight + gammaln(shape + failures) - gammaln(shape) + shape * b
        weight = weight - (shape + failures) * np.log(rate + exposure)
    found: inputs.Numbers = weight
    return found


def _quantiles(
    shape: inputs.Numbers,
    rate: inputs.Numbers,
    weight: inputs.Numbers,
    x: inputs.Numbers,
    t: inputs.Numbers,
    q: float,
) -> inputs.Numbers:
    """Return a quantile of each group's mixture of gammas, by halving."""
    shapes, rates = shape[:, None] + x, rate[:, None] + t
    ends = gammaincinv(shapes, q) / rates
    low, high = ends.min(axis=0), ends.max(axis=0)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        below = (weight[:, None] * gammainc(shapes, rates * middle)).sum(axis=0) < q
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2, dtype=np.float64)
