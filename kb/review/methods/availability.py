"""How much of the time something could be used; at show time, for gear used now and then.

'Observed' counts all down time, waiting for spares too (operational, not inherent). Steady-state
availability is up / (up + down) with the up time in operating time; many texts write it with
the mean time between failures. For gear that is used a few hours a week the share of shows
without an open fault says more.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kb.review.methods import inputs, proportions
from kb.review.methods.rates import CONFIDENCE

MINUTES_A_YEAR = 365 * 24 * 60
Span = tuple[float, float]


@dataclass(frozen=True)
class AtShows:
    """How many shows found a thing, or all of a group, without an open fault.

    Attributes:
        shows: How many were held while it was in use.
        fit: How many of them had no open fault on it.
        share: fit / shows; None without a show.
        low: Lower limit, exact (Clopper and Pearson).
        high: Upper limit.
        confidence: Of the two-sided interval.
    """

    shows: int
    fit: int
    share: float | None
    low: float
    high: float
    confidence: float


def observed(period: float, down: float) -> float:
    """Return the share of a period that wasn't down.

    Args:
        period: The time looked at, above zero, all units together.
        down: The down time in it, in the same unit; which kinds count must be said beside it.

    Raises:
        InvalidError: More down time than there is time, or a time below zero.
    """
    inputs.above_zero("period", period)
    if not 0 <= down <= period:
        raise inputs.refused("down", f"{down:g} of {period:g} is no down time. Merge overlaps.")
    return 1 - down / period


def steady_state(mean_up: float, mean_down: float) -> float:
    """Return up / (up + down), what availability comes to in the long run without a trend.

    Args:
        mean_up: Mean operating time between failures, above zero.
        mean_down: Mean down time, zero or more, in the same unit.

    Raises:
        InvalidError: A time that can't be.
    """
    inputs.above_zero("mean_up", mean_up)
    if mean_down < 0:
        raise inputs.refused("mean_down", f"{mean_down:g} is below zero. Mend it.")
    return mean_up / (mean_up + mean_down)


def down_minutes_a_year(availability: float) -> float:
    """Return the minutes down in a year of 365 days.

    Args:
        availability: Between 0 and 1, both included.

    Raises:
        InvalidError: It isn't.
    """
    if not 0 <= availability <= 1:
        raise inputs.refused("availability", f"{availability:g} is no share. Give 0.999.")
    return (1 - availability) * MINUTES_A_YEAR


def down_time(spans: Iterable[Span], window: Span) -> float:
    """Return for how long something was down within a window, overlapping jobs counted once.

    Args:
        spans: From when up to when each job made it unusable, in any order.
        window: From when up to when it's looked at.

    Raises:
        InvalidError: A span that ends before it begins.
    """
    total, reached = 0.0, window[0]
    for start, end in sorted(spans):
        if end < start:
            raise inputs.refused("spans", f"one ends at {end:g}, before {start:g}. Swap the two.")
        first, last = max(start, reached), min(end, window[1])
        if last > first:
            total += last - first
            reached = last
    return total


def at_shows(had_fault: Sequence[bool], *, confidence: float = CONFIDENCE) -> AtShows:
    """Return in how many shows there was no open fault.

    Args:
        had_fault: For each show held while it was in use, whether it had an open fault then.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: No such confidence.
    """
    inputs.confidence(confidence)
    shows, fit = len(had_fault), sum(1 for one in had_fault if not one)
    if not shows:
        return AtShows(0, 0, None, 0.0, 1.0, confidence)
    low, high = proportions.exact(fit, shows, confidence=confidence)
    return AtShows(shows, fit, fit / shows, low, high, confidence)
