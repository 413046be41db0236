"""Exposure and counted failures of very many units at once, by the rules of `exposure`.

What `exposure` says unit by unit is said here in arrays; a test holds the two together. Days
are whole numbers since 1970-01-01.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.review.methods import exposure

Whole = NDArray[np.int64]
COUNTED = 0
REASONS = (
    "",
    exposure.BEFORE_WINDOW,
    exposure.AFTER_WINDOW,
    exposure.BEFORE_LOG,
    exposure.BEFORE_SERVICE,
    "while it was set aside",
    "while it was retired",
)
_SET_ASIDE, _RETIRED = 5, 6
FOR_EVER = 2**31


@dataclass(frozen=True)
class Gaps:
    """When units were out of use: parts that don't touch, sorted by unit and day.

    Attributes:
        unit: Whose, by number.
        since: First day.
        until: The day after the last one; `FOR_EVER` where it goes on.
        retired: Whether it began with being retired.
    """

    unit: Whole
    since: Whole
    until: Whole
    retired: NDArray[np.bool_]


@dataclass(frozen=True)
class Span:
    """The days looked at, and the day that the log began."""

    since: int
    until: int
    began: int


def distinct(unit: Whole, day: Whole) -> tuple[Whole, Whole]:
    """Return failures once a unit and day, sorted by both: a second report is no new failure.

    Args:
        unit: Whose each failure is, by number.
        day: On which day.
    """
    if not len(unit):
        return unit, day
    first = int(day.min())
    width = int(day.max()) - first + 1
    found = np.sort(unit * width + (day - first))
    found = found[np.concatenate([[True], found[1:] != found[:-1]])]
    return found // width, found % width + first


def unit_days(in_service: Whole, gaps: Gaps, span: Span) -> Whole:
    """Return for how many days of the window each unit was exposed.

    Args:
        in_service: The day that each unit was put in service.
        gaps: When units were out of use.
        span: The window, and the day that the log began.
    """
    first = np.maximum(in_service, max(span.since, span.began))
    whole = np.maximum(0, span.until - first)
    start = np.maximum(gaps.since, first[gaps.unit])
    lost = np.maximum(0, np.minimum(gaps.until, span.until) - start)
    gone = np.bincount(gaps.unit, weights=lost, minlength=len(in_service)).astype(np.int64)
    return np.asarray(whole - gone, dtype=np.int64)


def verdicts(unit: Whole, day: Whole, in_service: Whole, gaps: Gaps, span: Span) -> Whole:
    """Return for each failure 0 where it counts, else the place of its reason in `REASONS`.

    Args:
        unit: Whose each failure is, by number.
        day: On which day.
        in_service: The day that each unit was put in service.
        gaps: When units were out of use.
        span: The window, and the day that the log began.
    """
    found = _while_out(unit, day, gaps)
    # The last one that holds is told.
    for reason, wrong in (
        (3, day < span.began),
        (4, day < in_service[unit]),
        (2, day >= span.until),
        (1, day < span.since),
    ):
        found = np.where(wrong, reason, found)
    return found


def _while_out(unit: Whole, day: Whole, gaps: Gaps) -> Whole:
    """Return the reason of failures inside a gap; on its first day, and after it, they count."""
    none = np.zeros(len(unit), dtype=np.int64)
    if not len(gaps.unit):
        return none
    width = FOR_EVER * 2
    last = np.searchsorted(gaps.unit * width + gaps.since, unit * width + day, side="left") - 1
    at = np.maximum(last, 0)
    inside = (last >= 0) & (gaps.unit[at] == unit) & (day < gaps.until[at])
    return np.where(inside, np.where(gaps.retired[at], _RETIRED, _SET_ASIDE), none)
