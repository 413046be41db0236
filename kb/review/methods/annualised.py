"""The annualised failure rate of drives, by age too, and what it says as a chance.

AFR is failures per drive-day times 365; it can exceed 1. The chance that a drive fails within a
year is 1 - exp(-AFR), and only where the rate is constant. A mean time between failures is a
mean and no median: by then 63.2 % have failed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log

from kb.review.methods import inputs, rates
from kb.review.methods.rates import CONFIDENCE, Rate

DAYS = 365
HOURS = 24 * DAYS


@dataclass(frozen=True)
class Annualised:
    """Failures per drive and year of 365 days.

    Attributes:
        rate: The rate with its exact limits; its exposure is in years of 365 days.
        chance: That a drive fails within a year, 1 - exp(-rate).
        chance_low: At the rate's lower limit.
        chance_high: At its upper limit.
    """

    rate: Rate
    chance: float
    chance_low: float
    chance_high: float


@dataclass(frozen=True)
class Band:
    """What happened between two ages.

    Attributes:
        since: From this age in days on.
        until: Up to, not including, this one; None is 'and older'.
        drives: How many were watched there.
        drive_days: For how long, all together.
        failures: How many failed there.
        annualised: The rate there; None where none was watched.
    """

    since: float
    until: float | None
    drives: int
    drive_days: float
    failures: int
    annualised: Annualised | None


def failure_rate(
    failures: int, drive_days: float, *, confidence: float = CONFIDENCE
) -> Annualised:
    """Return the annualised failure rate with its exact limits.

    Args:
        failures: How many were counted.
        drive_days: The sum of the days that each drive was watched, above zero.
        confidence: Of the two-sided interval; the upper limit at 0.9 is the one-sided 95 % one.

    Raises:
        InvalidError: A count below zero, no exposure, or no such confidence.
    """
    found = rates.failure_rate(failures, drive_days / DAYS, confidence=confidence)
    chances = (1 - exp(-each) for each in (found.rate, found.low, found.high))
    return Annualised(found, *chances)


def annual_chance(mean_hours: float) -> float:
    """Return the chance to fail within a year of 8,760 hours, the rate being constant.

    Args:
        mean_hours: Mean time between failures, in hours in use all day.

    Raises:
        InvalidError: It isn't above zero.
    """
    return 1 - exp(-HOURS / inputs.above_zero("mean_hours", mean_hours))


def mean_hours(chance: float) -> float:
    """Return the mean time between failures, in hours, that goes with a chance in a year.

    Args:
        chance: Between 0 and 1.

    Raises:
        InvalidError: It isn't.
    """
    if not 0 < chance < 1:
        raise inputs.refused("chance", f"{chance:g} is not between 0 and 1. Give 0.02 for 2 %.")
    return HOURS / -log(1 - chance)


def by_age(
    spans: Sequence[tuple[float, float]],
    failure_ages: Sequence[float],
    edges: Sequence[float],
    *,
    confidence: float = CONFIDENCE,
) -> tuple[Band, ...]:
    """Return the rate in each band of age, the last one open.

    Args:
        spans: From which age up to which each drive was watched, in days.
        failure_ages: The age of each failure, in days.
        edges: Where bands begin, rising; the first is mostly 0.
        confidence: Of each two-sided interval.

    Raises:
        InvalidError: Edges that don't rise, or a span that ends before it begins.
    """
    if any(b <= a for a, b in pairwise(edges)) or any(end < start for start, end in spans):
        raise inputs.refused("edges", "ages must rise, in bands and spans alike. Swap them.")
    ends: list[float | None] = [*edges[1:], None]
    return tuple(
        _band(spans, failure_ages, since, until, confidence)
        for since, until in zip(edges, ends, strict=True)
    )


def _band(
    spans: Sequence[tuple[float, float]],
    failure_ages: Sequence[float],
    since: float,
    until: float | None,
    confidence: float,
) -> Band:
    top = float("inf") if until is None else until
    watched = [min(end, top) - max(start, since) for start, end in spans]
    days = [each for each in watched if each > 0]
    failures = sum(1 for age in failure_ages if since <= age < top)
    rate = failure_rate(failures, sum(days), confidence=confidence) if days else None
    return Band(since, until, len(days), sum(days), failures, rate)
