"""How many spares to keep, so that a failure rarely finds the drawer empty.

Demand within a lead time (or a repair's turn-round) is Poisson where the rate is constant; k
spares meet k failures, so what counts is P(demand <= k). The rate itself is uncertain: with r
failures in an exposure T the demand is negative binomial (Jeffreys' prior), which asks for more
where little is known. Not for a batch that wears out in step, nor for a common cause.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from scipy.special import betainc, pdtr

from kb.review.methods import inputs

_MOST = 1_000_000


@dataclass(frozen=True)
class Stock:
    """How many spares a service level asks for.

    Attributes:
        demand: Failures expected within the lead time.
        service: The chance wanted that the spares are enough.
        plug_in: Spares needed if the rate were known to be the one seen.
        predictive: Spares needed with the rate as uncertain as it is; the one to go by.
        failures: That the rate rests on.
        exposure: That it rests on.
    """

    demand: float
    service: float
    plug_in: int
    predictive: int
    failures: int
    exposure: float


def stock(failures: int, exposure: float, lead: float, *, service: float = 0.95) -> Stock:
    """Return how many spares a service level asks for, by both ways.

    Args:
        failures: Counted so far.
        exposure: Over which, all units together, above zero.
        lead: Units times the time until a spare is replaced, in the same unit.
        service: The chance wanted that the spares are enough.

    Raises:
        InvalidError: A count or time that can't be, or a service level not between 0 and 1.
    """
    r = inputs.count("failures", failures)
    demand = r / inputs.above_zero("exposure", exposure) * inputs.above_zero("lead", lead)
    predictive = _smallest(lambda k: predictive_cover(r, exposure, lead, k), service)
    return Stock(demand, service, needed(demand, service=service), predictive, r, exposure)


def needed(demand: float, *, service: float = 0.95) -> int:
    """Return the smallest stock k with P(demand <= k) at least the service level.

    Args:
        demand: Failures expected within the lead time, zero or more; the rate is taken as known.
        service: The chance wanted.

    Raises:
        InvalidError: A demand below zero, or a service level not between 0 and 1.
    """
    return _smallest(lambda k: cover(demand, k), service)


def cover(demand: float, spares: int) -> float:
    """Return the chance that so many spares are enough, P(demand <= spares).

    Args:
        demand: Failures expected within the lead time, zero or more.
        spares: How many there are.

    Raises:
        InvalidError: A number below zero.
    """
    if not (isfinite(demand) and demand >= 0):
        raise inputs.refused("demand", f"{demand:g} is below zero or no number. Mend it.")
    return float(pdtr(inputs.count("spares", spares), demand))


def predictive_cover(failures: int, exposure: float, lead: float, spares: int) -> float:
    """Return the chance that so many spares are enough, with the rate as uncertain as it is.

    Args:
        failures: Counted so far.
        exposure: Over which, above zero.
        lead: Units times the lead time, in the same unit.
        spares: How many there are.

    Raises:
        InvalidError: A count or time that can't be.
    """
    t, ahead = inputs.above_zero("exposure", exposure), inputs.above_zero("lead", lead)
    shape = inputs.count("failures", failures) + 0.5
    return float(betainc(shape, inputs.count("spares", spares) + 1, t / (t + ahead)))


def _smallest(chance: Callable[[int], float], service: float) -> int:
    """Return the smallest stock whose chance reaches the service level, by halving."""
    if not 0 < service < 1:
        raise inputs.refused("service", f"{service:g} is not between 0 and 1. Give 0.95.")
    top = 1
    while chance(top - 1) < service:
        if top > _MOST:
            raise inputs.refused("demand", "it asks for more than a million spares. Look again.")
        top *= 2
    low, high = top // 2, top - 1  # the smallest lies from `low` to `high`
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if chance(middle) >= service else (middle + 1, high)
    return low
