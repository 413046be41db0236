"""Units on the clock of their own age: what trends, curves and laws of lives go by.

An age is in days since the unit was put in service; time set aside stands still. A failure lies
in the middle of its day, since only the day is known.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kb.review.fleet import Thing
from kb.review.methods import cumulative, survival, trend
from kb.review.methods.exposure import Days
from kb.review.methods.survival import Lives, Survival

_MIDDAY = 0.5


@dataclass(frozen=True)
class Ages:
    """Units as the methods want them, one place in each tuple for each unit.

    Attributes:
        starts: From which age each was watched.
        ends: Up to which.
        events: The ages of its failures.
    """

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    events: tuple[tuple[float, ...], ...]

    def lives(self) -> Lives:
        """Return the units as things that are over with their first failure."""
        failed = [(one[0], start) for one, start in self._paired() if one]
        rows = zip(self.events, self.ends, self.starts, strict=True)
        going = [(end, start) for one, end, start in rows if not one]
        return Lives(
            [age for age, _ in failed],
            [end for end, _ in going],
            [start for _, start in failed],
            [start for _, start in going],
        )

    def _paired(self) -> list[tuple[tuple[float, ...], float]]:
        return list(zip(self.events, self.starts, strict=True))


@dataclass(frozen=True)
class Trend:
    """Both tests of a trend.

    Attributes:
        laplace: Its statistic; above 0 is worsening.
        laplace_p: Two-sided.
        handbook: The chi-square of MIL-HDBK-189; small is worsening.
        degrees: Of freedom.
        handbook_p: Two-sided.
        events: How many went in.
        words: What they say.
    """

    laplace: float
    laplace_p: float
    handbook: float
    degrees: int
    handbook_p: float
    events: int
    words: str

    @property
    def p(self) -> float:
        """The smaller of both: what decides whether a mean may be told."""
        return min(self.laplace_p, self.handbook_p)


def of_things(things: Sequence[Thing]) -> Ages:
    """Return units on the clock of their age, those never exposed left out."""
    starts, ends, events = [], [], []
    for thing in things:
        if not (thing.unit_days and thing.in_service and thing.exposure):
            continue
        intervals = thing.exposure.intervals
        start = float((intervals[0].since - thing.in_service).days)
        end = start + thing.unit_days
        starts.append(start)
        ends.append(end)
        ages = (start + _days_till(day, intervals) + _MIDDAY for day in thing.exposure.failures)
        events.append(tuple(min(age, end) for age in ages))
    return Ages(tuple(starts), tuple(ends), tuple(events))


def _days_till(day: date, intervals: Sequence[Days]) -> int:
    return sum((min(day, one.until) - one.since).days for one in intervals if one.since <= day)


def trend_of(ages: Ages, wanted: float) -> Trend:
    """Return both tests of a trend with what they say.

    Args:
        ages: The units, one failure at least among them.
        wanted: How small p must be to speak of a trend.
    """
    found = trend.laplace(ages.events, ages.ends, starts=ages.starts)
    other = trend.military_handbook(ages.events, ages.ends, starts=ages.starts)
    worse = found.statistic > 0
    told = {found.p < wanted, other.p < wanted}
    if told == {False}:
        words = "no trend told"
    elif told == {True}:
        words = "worsening" if worse else "improving"
    else:
        words = f"{'worsening' if worse else 'improving'} by one of two tests"
    return Trend(
        found.statistic, found.p, other.statistic, other.degrees, other.p, found.events, words
    )


def outlasting(ages: Ages, days: float, confidence: float) -> tuple[float, float, float]:
    """Return the share that outlasts an age, with its limits."""
    return survival_of(ages, confidence).at(days)


def survival_of(ages: Ages, confidence: float) -> Survival:
    """Return the survival curve of units that are over with their first failure."""
    return survival.kaplan_meier(ages.lives(), confidence=confidence)


def cumulative_of(ages: Ages, confidence: float) -> cumulative.Curve:
    """Return the mean cumulative function of units that are repaired."""
    return cumulative.curve(ages.events, ages.ends, starts=ages.starts, confidence=confidence)
