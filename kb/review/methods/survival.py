"""How long things last that are not repaired: cables, drives, batteries.

Kaplan and Meier's estimate; whoever is still in use, retired unfailed or lost is censored at
its age. A thing retired because it looked worn must count as failed: censoring has to be
unrelated to condition. Things already old when watching began enter late (`starts`). Not for
several failures of one thing, and nothing is read beyond the last age.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, ndtri

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE

_HALF = 0.5


@dataclass(frozen=True)
class Survival:
    """A survival curve, one place in each tuple for each age with a failure.

    Attributes:
        ages: Where it steps.
        at_risk: How many were watched at that age; one censored at it still counts.
        failures: How many failed at it.
        survival: The share that lasts beyond it.
        low: Lower limit.
        high: Upper limit.
        units: How many went in.
        limits: 'log-log' (never leaves 0 to 1) or 'plain' (Greenwood's, cut there).
        confidence: Of each two-sided interval.
    """

    ages: tuple[float, ...]
    at_risk: tuple[int, ...]
    failures: tuple[int, ...]
    survival: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    units: int
    limits: str
    confidence: float

    @property
    def median(self) -> float | None:
        """The age that half outlast; None where the curve doesn't come down so far."""
        return next(
            (age for age, s in zip(self.ages, self.survival, strict=True) if s <= _HALF), None
        )

    @property
    def median_limits(self) -> tuple[float | None, float | None]:
        """The ages at which the lower and the upper limit come down to a half; None for never.

        Brookmeyer and Crowley (1982).
        """
        pairs = (zip(self.ages, limit, strict=True) for limit in (self.low, self.high))
        low, high = (next((age for age, s in each if s <= _HALF), None) for each in pairs)
        return low, high

    def at(self, age: float) -> tuple[float, float, float]:
        """Return survival, lower and upper limit at an age; 1, 1, 1 before the first failure."""
        step = int(np.searchsorted(np.array(self.ages), age, side="right")) - 1
        if step < 0:
            return 1.0, 1.0, 1.0
        return self.survival[step], self.low[step], self.high[step]


@dataclass(frozen=True)
class LogRank:
    """Two survival curves compared.

    Attributes:
        excess: Failures of the first group beyond those expected of it; above 0 is worse.
        chi_square: One degree of freedom.
        p: Two-sided.
    """

    excess: float
    chi_square: float
    p: float


@dataclass(frozen=True)
class Lives:
    """Things that are not repaired, each with the age that it came to.

    Attributes:
        failures: The ages of those that failed.
        censored: The ages of those that didn't.
        failure_starts: From which age each that failed was watched; 0 where left out.
        censored_starts: The same of those that didn't.
    """

    failures: Sequence[float]
    censored: Sequence[float] = ()
    failure_starts: Sequence[float] | None = None
    censored_starts: Sequence[float] | None = None

    def arrays(self) -> tuple[inputs.Numbers, inputs.Numbers, inputs.Numbers]:
        """Return ages of failure, ages of all and starts of all, the failed ones first.

        Raises:
            InvalidError: An age that isn't above its start, or lists that don't match.
        """
        failed = inputs.numbers("failures", self.failures)
        ages = np.concatenate([failed, inputs.numbers("censored", self.censored)])
        pairs = ((self.failures, self.failure_starts), (self.censored, self.censored_starts))
        starts: list[float] = []
        for given, begun in pairs:
            starts += [0.0] * len(given) if begun is None else list(begun)
        inputs.alike("starts", list(ages), starts)
        first = inputs.numbers("starts", starts)
        if (ages < first).any() or (failed <= first[: len(failed)]).any():
            raise inputs.refused("ages", "one is not above its start. Mend the age or the start.")
        return failed, ages, first


def kaplan_meier(
    lives: Lives, *, confidence: float = CONFIDENCE, limits: str = "log-log"
) -> Survival:
    """Return the survival curve.

    Args:
        lives: The things.
        confidence: Of the two-sided interval at each age.
        limits: 'log-log' or 'plain'. Once the curve has come to 0, log-log limits don't exist:
            the lower is 0 then, the upper that of the step before.

    Raises:
        InvalidError: As for `Lives.arrays`, or no such confidence or limits.
    """
    if limits not in {"log-log", "plain"}:
        raise inputs.refused("limits", f"'{limits}' is neither 'log-log' nor 'plain'.")
    z = float(ndtri((1 + inputs.confidence(confidence)) / 2))
    failed, all_ages, starts = lives.arrays()
    ages, deaths = np.unique(failed, return_counts=True)
    risk = _at_risk(ages, all_ages, starts)
    survival: inputs.Numbers = np.cumprod((risk - deaths) / risk, dtype=np.float64)
    with np.errstate(divide="ignore"):
        hazard = np.cumsum(deaths / (risk * (risk - deaths)).astype(np.float64))
    low, high = (_plain if limits == "plain" else _log_log)(survival, hazard, z)
    return Survival(
        ages=tuple(ages.tolist()),
        at_risk=tuple(risk.tolist()),
        failures=tuple(deaths.tolist()),
        survival=tuple(survival.tolist()),
        low=tuple(low.tolist()),
        high=tuple(high.tolist()),
        units=len(all_ages),
        limits=limits,
        confidence=confidence,
    )


def log_rank(first: Lives, second: Lives) -> LogRank:
    """Return the log-rank test of two groups; weak where their curves cross.

    Args:
        first: The one group.
        second: The other.

    Raises:
        InvalidError: As for `Lives.arrays`, or no failure at an age that both reach.
    """
    groups = [one.arrays() for one in (first, second)]
    ages, deaths = np.unique(np.concatenate([one[0] for one in groups]), return_counts=True)
    risks = [_at_risk(ages, one[1], one[2]) for one in groups]
    total = risks[0] + risks[1]
    mine = np.array([(groups[0][0] == age).sum() for age in ages])
    share = risks[0] / total
    spread = deaths * share * (1 - share) * (total - deaths) / np.maximum(total - 1, 1)
    variance = float(spread.sum())
    if variance <= 0:
        raise inputs.refused("failures", "none lies at an age that both groups reach.")
    excess = float((mine - deaths * share).sum())
    return LogRank(excess, excess**2 / variance, float(chdtrc(1, excess**2 / variance)))


def _at_risk(
    ages: inputs.Numbers, all_ages: inputs.Numbers, starts: inputs.Numbers
) -> NDArray[np.int64]:
    begun = np.searchsorted(np.sort(starts), ages, side="left")
    over = np.searchsorted(np.sort(all_ages), ages, side="left")
    return np.asarray(begun - over, dtype=np.int64)


def _plain(
    survival: inputs.Numbers, hazard: inputs.Numbers, z: float
) -> tuple[inputs.Numbers, inputs.Numbers]:
    # At 0 the variance is 0 times infinity; with the product taken apart it is that of the last
    # failure, as programs print it.
    spread = np.where(survival > 0, survival * np.sqrt(np.where(survival > 0, hazard, 0)), 0)
    return np.clip(survival - z * spread, 0, 1), np.clip(survival + z * spread, 0, 1)


def _log_log(
    survival: inputs.Numbers, hazard: inputs.Numbers, z: float
) -> tuple[inputs.Numbers, inputs.Numbers]:
    alive = survival > 0
    logs = np.log(np.where(alive, survival, _HALF))
    off = z * np.sqrt(np.where(alive, hazard, 0)) / logs
    low, high = survival ** np.exp(-off), survival ** np.exp(off)
    if not alive.all():
        low = np.where(alive, low, 0.0)
        high = np.where(alive, high, high[alive][-1] if alive.any() else 1.0)
    return low, high
