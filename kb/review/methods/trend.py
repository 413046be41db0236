"""Whether things that are repaired fail more and more often, or less and less.

Events are ages of failures since a unit came under observation; each unit is watched from
`start` (0 unless it was watched from a later age on) to `end`. Without a trend a unit's events
lie evenly in between, whatever its own rate, so units with different rates may be pooled. What
is watched by a log ends with time; `failure_terminated` is for data cut at the last failure,
which then is left out of the sums.

Not for things that are replaced and not repaired, nor for calendar dates of a fleet that grew.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtr, chdtrc, ndtr

from kb.review.methods import inputs

Events = Sequence[Sequence[float]]
_TO_VARY = 2


@dataclass(frozen=True)
class Normal:
    """A test whose statistic is standard normal without a trend: above 0 is worsening.

    Attributes:
        statistic: Its value.
        p: Two-sided.
        events: How many went in.
    """

    statistic: float
    p: float
    events: int


@dataclass(frozen=True)
class ChiSquare:
    """A test whose statistic is chi-square without a trend: small is worsening.

    Attributes:
        statistic: Its value.
        degrees: Of freedom.
        p: Two-sided, twice the smaller tail.
        below: The chance of a smaller value without a trend; near 1 is improving.
        events: How many went in.
    """

    statistic: float
    degrees: int
    p: float
    below: float
    events: int


@dataclass(frozen=True)
class Spans:
    """Ages of events and how long each unit was watched, made sure of.

    Attributes:
        events: Each unit's ages, in order, those that count.
        starts: From which age each unit was watched.
        ends: Up to which age.
    """

    events: tuple[inputs.Numbers, ...]
    starts: inputs.Numbers
    ends: inputs.Numbers

    @property
    def count(self) -> int:
        """How many events there are."""
        return sum(len(one) for one in self.events)


def spans(
    events: Events,
    ends: Sequence[float] | None = None,
    *,
    starts: Sequence[float] | None = None,
    failure_terminated: bool = False,
) -> Spans:
    """Return what the tests of a trend go by.

    Args:
        events: The ages of each unit's failures, in any order.
        ends: Up to which age each unit was watched; not needed where `failure_terminated`.
        starts: From which age on; 0 by default.
        failure_terminated: Each unit was watched up to its last failure, which is left out.

    Raises:
        InvalidError: An event outside its unit's time, or lists that don't match.
    """
    ages = [np.sort(inputs.numbers("events", one)) for one in events]
    if failure_terminated:
        ages = [one for one in ages if len(one)]
        last, ages = [float(one[-1]) for one in ages], [one[:-1] for one in ages]
    else:
        last = list(ends or ())
    first = list(starts) if starts is not None else [0.0] * len(ages)
    inputs.alike("ends", ages, last)
    inputs.alike("starts", ages, first)
    for one, start, end in zip(ages, first, last, strict=True):
        if not start < end or (len(one) and (one[0] <= start or one[-1] > end)):
            message = f"an event is outside ({start:g}, {end:g}]. Mend the age or the end."
            raise inputs.refused("events", message)
    return Spans(tuple(ages), inputs.numbers("starts", first), inputs.numbers("ends", last))


def laplace(
    events: Events,
    ends: Sequence[float] | None = None,
    *,
    starts: Sequence[float] | None = None,
    failure_terminated: bool = False,
) -> Normal:
    """Return Laplace's test, pooled over units; best against a steady change of the log rate.

    Args:
        events: The ages of each unit's failures.
        ends: Up to which age each unit was watched.
        starts: From which age on; 0 by default.
        failure_terminated: Each unit was watched up to its last failure.

    Raises:
        InvalidError: As for `spans`, or no event at all.
    """
    given = _some(spans(events, ends, starts=starts, failure_terminated=failure_terminated))
    lengths = given.ends - given.starts
    counts = np.array([len(one) for one in given.events])
    total = sum(float((one - s).sum()) for one, s in zip(given.events, given.starts, strict=True))
    spread = np.sqrt((counts * lengths**2).sum() / 12)
    return _normal((total - float((counts * lengths).sum()) / 2) / float(spread), given.count)


def lewis_robinson(
    events: Events,
    ends: Sequence[float] | None = None,
    *,
    starts: Sequence[float] | None = None,
    failure_terminated: bool = False,
) -> Normal:
    """Return Laplace's test over the coefficient of variation of the gaps between failures.

    Use it where the gaps are more scattered than chance makes them.

    Args:
        events: The ages of each unit's failures.
        ends: Up to which age each unit was watched.
        starts: From which age on; 0 by default.
        failure_terminated: Each unit was watched up to its last failure.

    Raises:
        InvalidError: As for `laplace`, or fewer than two gaps, or gaps that are all alike.
    """
    found = laplace(events, ends, starts=starts, failure_terminated=failure_terminated)
    first = starts if starts is not None else [0.0] * len(events)
    gaps = np.concatenate(
        [np.diff(np.sort([s, *one])) for one, s in zip(events, first, strict=True)]
    )
    if len(gaps) < _TO_VARY or gaps.std() == 0:
        raise inputs.refused("events", "the gaps between them don't vary. Use Laplace's test.")
    return _normal(found.statistic * float(gaps.mean() / gaps.std(ddof=1)), found.events)


def military_handbook(
    events: Events,
    ends: Sequence[float] | None = None,
    *,
    starts: Sequence[float] | None = None,
    failure_terminated: bool = False,
) -> ChiSquare:
    """Return the test of MIL-HDBK-189, pooled over units; best against the power law.

    Args:
        events: The ages of each unit's failures.
        ends: Up to which age each unit was watched.
        starts: From which age on; 0 by default. Later ones shift the unit's time.
        failure_terminated: Each unit was watched up to its last failure.

    Raises:
        InvalidError: As for `laplace`.
    """
    given = _some(spans(events, ends, starts=starts, failure_terminated=failure_terminated))
    statistic = 2 * sum(logs_left(given))
    degrees = 2 * given.count
    below, above = float(chdtr(degrees, statistic)), float(chdtrc(degrees, statistic))
    return ChiSquare(statistic, degrees, min(1.0, 2 * min(below, above)), below, given.count)


def logs_left(given: Spans) -> tuple[float, ...]:
    """Return for each unit the sum of ln(watched in all / watched up to the failure)."""
    return tuple(
        float(np.log((end - start) / (one - start)).sum())
        for one, start, end in zip(given.events, given.starts, given.ends, strict=True)
    )


def reverse_arrangements(gaps: Sequence[float]) -> tuple[int, Normal]:
    """Return how many later gaps exceed an earlier one, and the test on it (NIST 8.2.3.4).

    Args:
        gaps: The times between one unit's failures, in order; the statistic is below 0 where
            they shrink, so its sign is turned to say 'above 0 is worsening'.

    Raises:
        InvalidError: Fewer than two gaps.
    """
    given = inputs.numbers("gaps", gaps)
    n = len(given)
    if n < _TO_VARY:
        raise inputs.refused("gaps", "fewer than two don't make a trend. Wait for more.")
    found = int(sum((given[i + 1 :] > given[i]).sum() for i in range(n)))
    spread = np.sqrt((2 * n + 5) * (n - 1) * n / 72)
    return found, _normal(-(found - n * (n - 1) / 4) / float(spread), n)


def _some(given: Spans) -> Spans:
    if not given.count:
        raise inputs.refused("events", "there is none to test. Show the exposure instead.")
    return given


def _normal(statistic: float, events: int) -> Normal:
    return Normal(statistic, 2 * float(ndtr(-abs(statistic))), events)
