"""A Weibull law of lives, with things that still last, and guards against fits of nothing.

S(t) = exp(-(t / scale) ** shape). A shape below 1 is early failure, 1 a constant rate, above 1
wear. Not for times between repairs of one thing, nor for a mix of ways to fail.
"""

from dataclasses import dataclass
from math import exp, gamma, log, sqrt

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtri, ndtri

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE
from kb.review.methods.survival import Lives

_SHAPES = (0.02, 200.0)
_AGES_NEEDED = 2
_PARAMETERS = 2


@dataclass(frozen=True)
class Weibull:
    """A fitted law.

    Attributes:
        failures: How many it rests on.
        units: How many lives went in.
        shape: By maximum likelihood, biased upwards with few failures.
        scale: The age that 36.8 % outlast, in the unit of the ages.
        shape_low: Lower limit, exp(ln shape - z * error).
        shape_high: Upper limit.
        scale_low: Lower limit, likewise.
        scale_high: Upper limit.
        profile_low: Lower limit of the shape by profile likelihood: the one to show where
            failures are few.
        profile_high: Its upper limit.
        confidence: Of each two-sided interval.
        log_likelihood: At the fit.
        mean: scale * gamma(1 + 1 / shape).
        deviation: Standard deviation of the lives.
    """

    failures: int
    units: int
    shape: float
    scale: float
    shape_low: float
    shape_high: float
    scale_low: float
    scale_high: float
    profile_low: float
    profile_high: float
    confidence: float
    log_likelihood: float
    mean: float
    deviation: float

    @property
    def akaike(self) -> float:
        """Akaike's criterion; smaller is better among laws fitted to the same lives."""
        return 2 * _PARAMETERS - 2 * self.log_likelihood


def fit(lives: Lives, *, confidence: float = CONFIDENCE) -> Weibull:
    """Return the Weibull law of lives.

    Args:
        lives: The things; those already old when watching began enter late.
        confidence: Of each two-sided interval.

    Raises:
        InvalidError: An age of zero or below, failures at fewer than two ages, all failures
            before every life that goes on (no highest point), or no such confidence.
    """
    inputs.confidence(confidence)
    failed, ages, starts = lives.arrays()
    if (ages <= 0).any():
        raise inputs.refused("ages", "one is zero or below, which no Weibull law holds. Mend it.")
    if len(np.unique(failed)) < _AGES_NEEDED:
        message = "failures at fewer than two ages make no law. Show the survival curve instead."
        raise inputs.refused("failures", message)
    unit = float(ages.max())
    likelihood = _Profile(failed / unit, ages / unit, starts / unit)
    shape = likelihood.best()
    scale = likelihood.scale(shape)
    errors = likelihood.errors(shape, scale)
    z = float(ndtri((1 + confidence) / 2))
    profile = likelihood.limits(shape, confidence)
    second = gamma(1 + 2 / shape) - gamma(1 + 1 / shape) ** 2
    return Weibull(
        failures=len(failed),
        units=len(ages),
        shape=shape,
        scale=scale * unit,
        shape_low=shape * exp(-z * errors[0]),
        shape_high=shape * exp(z * errors[0]),
        scale_low=scale * unit * exp(-z * errors[1]),
        scale_high=scale * unit * exp(z * errors[1]),
        profile_low=profile[0],
        profile_high=profile[1],
        confidence=confidence,
        log_likelihood=likelihood.at(shape) - len(failed) * log(unit),
        mean=scale * unit * gamma(1 + 1 / shape),
        deviation=scale * unit * sqrt(second),
    )


@dataclass(frozen=True)
class _Profile:
    """The likelihood of the shape, the scale always the best one for it."""

    failed: inputs.Numbers
    ages: inputs.Numbers
    starts: inputs.Numbers

    def _sums(self, shape: float) -> tuple[float, float, float]:
        """Return the sum of t ** shape and its first two derivatives, less those of the starts."""
        found = [0.0, 0.0, 0.0]
        for sign, each in ((1, self.ages), (-1, self.starts[self.starts > 0])):
            powers, logs = each**shape, np.log(each)
            for order in range(3):
                found[order] += sign * float((powers * logs**order).sum())
        return found[0], found[1], found[2]

    def slope(self, shape: float) -> float:
        """Return the derivative of the profile likelihood, over the failures."""
        total, first, _ = self._sums(shape)
        return 1 / shape + float(np.log(self.failed).mean()) - first / total

    def best(self) -> float:
        """Return the shape of the highest likelihood."""
        if self.slope(_SHAPES[0]) <= 0 or self.slope(_SHAPES[1]) >= 0:
            message = "they lie so that no Weibull law fits. Show the survival curve instead."
            raise inputs.refused("failures", message)
        return float(brentq(self.slope, *_SHAPES, xtol=1e-13))

    def scale(self, shape: float) -> float:
        """Return the best scale for a shape."""
        return float((self._sums(shape)[0] / len(self.failed)) ** (1 / shape))

    def at(self, shape: float) -> float:
        """Return the log likelihood at a shape and the scale that is best for it."""
        r, scale = len(self.failed), self.scale(shape)
        logs = float(np.log(self.failed).sum())
        return r * (log(shape) - shape * log(scale)) + (shape - 1) * logs - r

    def errors(self, shape: float, scale: float) -> tuple[float, float]:
        """Return the standard errors of ln shape and ln scale, by the observed information.

        With w = (t / scale) ** shape and u = shape * ln(t / scale), where at the fit the sum of
        w is the number of failures: `one` is the sum of w u, `two` that of w u ** 2.
        """
        r = len(self.failed)
        total, first, second = (one / scale**shape for one in self._sums(shape))
        away = log(scale)
        one = shape * (first - away * total)
        two = shape**2 * (second - 2 * away * first + away**2 * total)
        information = np.array([[r + two, -shape * one], [-shape * one, shape**2 * r]])
        covariance = np.linalg.inv(information)
        return sqrt(covariance[0, 0]), sqrt(covariance[1, 1])

    def limits(self, shape: float, confidence: float) -> tuple[float, float]:
        """Return the shapes at which the likelihood has dropped by what chance allows."""
        floor = self.at(shape) - float(chdtri(1, 1 - confidence)) / 2

        def above(at: float) -> float:
            return self.at(at) - floor

        low = _SHAPES[0] if above(_SHAPES[0]) > 0 else brentq(above, _SHAPES[0], shape)
        high = _SHAPES[1] if above(_SHAPES[1]) > 0 else brentq(above, shape, _SHAPES[1])
        return float(low), float(high)
