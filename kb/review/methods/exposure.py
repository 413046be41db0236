"""How long each unit was exposed to failure, and which failures count: the base of every rate.

A unit is exposed from the latest of its in-service day, the day the log began and the window's
first day, up to the day it was set aside or retired or the window's end. Time in the drawer, on
loan or in repair counts; time set aside does not, and a unit that comes back is exposed again
from that day on. All days are plain dates, cut in the workspace's zone before they come here, so
a day is a day whatever the clocks do. Every interval is half-open: [since, until).

A failure on the day on which the unit was set aside or retired counts although exposure ends
that day: it is what ended it. Failures that do not count are listed with the reason.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from kb.errors import InvalidError, Problem

IN_USE = frozenset({"fit", "doubtful"})
OUT_OF_USE = frozenset({"set aside", "retired"})

NO_IN_SERVICE_DAY = "its in-service date is not known"
BEFORE_WINDOW = "before the days looked at"
AFTER_WINDOW = "after the days looked at"
BEFORE_LOG = "before the log began"
BEFORE_SERVICE = "before it was put in service"


@dataclass(frozen=True)
class Days:
    """The days from `since` up to, not including, `until`."""

    since: date
    until: date

    def __post_init__(self) -> None:
        """Refuse times of day and an end before the start."""
        _refuse_times("days", self.since, self.until)
        if self.until < self.since:
            raise _refused("days", f"they end on {self.until}, before {self.since}. Swap the two.")

    @property
    def count(self) -> int:
        """How many days there are."""
        return (self.until - self.since).days


@dataclass(frozen=True)
class Spell:
    """A state a unit was in from `since` up to, not including, `until`; None is 'still'.

    Attributes:
        state: 'fit' or 'doubtful' (in use), 'set aside' or 'retired' (out of use).
    """

    state: str
    since: date
    until: date | None = None

    def __post_init__(self) -> None:
        """Refuse unknown states, times of day and an end before the start."""
        if self.state not in IN_USE | OUT_OF_USE:
            known = ", ".join(sorted(IN_USE | OUT_OF_USE))
            raise _refused("state", f"'{self.state}' is none of {known}. Give one of them.")
        Days(self.since, self.since if self.until is None else self.until)


@dataclass(frozen=True)
class Unit:
    """One item as the review sees it.

    Attributes:
        name: What the listing calls it.
        in_service: The day it was put in service; None is 'not known'.
        spells: Its states, in any order. A day that none covers counts as in use, since the
            record of states may begin after the unit's life did; where two contradict each
            other, out of use wins.
        failures: The day of each failure, in any order, one entry a failure.
    """

    name: str
    in_service: date | None
    spells: tuple[Spell, ...] = ()
    failures: tuple[date, ...] = ()

    def __post_init__(self) -> None:
        """Refuse times of day."""
        _refuse_times(self.name, self.in_service, *self.failures)


@dataclass(frozen=True)
class NotCounted:
    """A failure outside the exposure, and why it does not count."""

    day: date
    reason: str


@dataclass(frozen=True)
class UnitExposure:
    """What one unit adds to a rate.

    Attributes:
        name: The unit's name.
        intervals: When it was exposed, oldest first; none is empty.
        failures: The days of the failures that count, oldest first.
        not_counted: The other failures, oldest first.
    """

    name: str
    intervals: tuple[Days, ...]
    failures: tuple[date, ...]
    not_counted: tuple[NotCounted, ...]

    @property
    def unit_days(self) -> int:
        """How many days it was exposed."""
        return sum(interval.count for interval in self.intervals)


@dataclass(frozen=True)
class LeftOut:
    """A unit no exposure can be stated for: not guessed, listed."""

    name: str
    reason: str
    failures: tuple[date, ...]


@dataclass(frozen=True)
class Exposure:
    """What a group of units adds up to.

    A fleet's rate is the sum of failures over the sum of unit-days, never a mean of rates.
    """

    units: tuple[UnitExposure, ...]
    left_out: tuple[LeftOut, ...]

    @property
    def unit_days(self) -> int:
        """The sum of the units' exposed days."""
        return sum(unit.unit_days for unit in self.units)

    @property
    def failures(self) -> int:
        """How many failures count."""
        return sum(len(unit.failures) for unit in self.units)


def of_units(units: Iterable[Unit], *, log_began: date, window: Days) -> Exposure:
    """Return the exposure of a group, units without an in-service day left out.

    Args:
        units: The units, in the order of the listing.
        log_began: The first day on which failures were written down.
        window: The days looked at.
    """
    known: list[UnitExposure] = []
    left_out: list[LeftOut] = []
    for unit in units:
        if unit.in_service is None:
            days = tuple(sorted(unit.failures))
            left_out.append(LeftOut(unit.name, NO_IN_SERVICE_DAY, days))
        else:
            known.append(_of_unit(unit, unit.in_service, log_began, window))
    return Exposure(tuple(known), tuple(left_out))


def _of_unit(unit: Unit, in_service: date, log_began: date, window: Days) -> UnitExposure:
    """Return one unit's exposure in the window."""
    gaps = out_of_use(unit.spells)
    first = max(in_service, log_began)
    counted: list[date] = []
    others: list[NotCounted] = []
    for day in sorted(unit.failures):
        reason = _why_not(day, in_service, log_began, window) or _why_out(day, gaps)
        if reason is None:
            counted.append(day)
        else:
            others.append(NotCounted(day, reason))
    intervals = _between(max(first, window.since), window.until, gaps)
    return UnitExposure(unit.name, intervals, tuple(counted), tuple(others))


def out_of_use(spells: Iterable[Spell]) -> tuple[Spell, ...]:
    """Return the spells out of use, oldest first, those that touch made one.

    A gap that holds several keeps the state it began with: a unit set aside and later retired
    left use on the first of the two days.
    """
    merged: list[Spell] = []
    out = [spell for spell in spells if spell.state in OUT_OF_USE and spell.since != spell.until]
    for spell in sorted(out, key=lambda one: one.since):
        last = merged[-1] if merged else None
        if last is None or (last.until is not None and last.until < spell.since):
            merged.append(spell)
        elif last.until is not None and (spell.until is None or spell.until > last.until):
            merged[-1] = Spell(last.state, last.since, spell.until)
    return tuple(merged)


def _between(first: date, end: date, gaps: tuple[Spell, ...]) -> tuple[Days, ...]:
    """Return [first, end) without the gaps."""
    intervals: list[Days] = []
    since: date | None = first
    for gap in gaps:
        if since is not None and since < min(gap.since, end):
            intervals.append(Days(since, min(gap.since, end)))
        since = None if since is None or gap.until is None else max(since, gap.until)
    if since is not None and since < end:
        intervals.append(Days(since, end))
    return tuple(intervals)


def _why_not(day: date, in_service: date, log_began: date, window: Days) -> str | None:
    """Return why a day lies outside what is looked at, or None."""
    if day < window.since:
        return BEFORE_WINDOW
    if day >= window.until:
        return AFTER_WINDOW
    if day < in_service:
        return BEFORE_SERVICE
    if day < log_began:
        return BEFORE_LOG
    return None


def _why_out(day: date, gaps: tuple[Spell, ...]) -> str | None:
    """Return the state that kept the unit out of use that day, or None.

    A gap's first day is the day exposure ended, so a failure on it counts.
    """
    for gap in gaps:
        if gap.since < day and (gap.until is None or day < gap.until):
            return f"while it was {gap.state}"
    return None


def _refuse_times(field: str, *days: date | None) -> None:
    """Refuse what has a time of day.

    Raises:
        InvalidError: For a datetime, which is a date to Python.
    """
    for day in days:
        if isinstance(day, datetime):
            raise _refused(
                field, f"{day} has a time of day. Cut the day in the workspace's zone first."
            )


def _refused(field: str, message: str) -> InvalidError:
    """Return the error for one field."""
    return InvalidError([Problem(field, message)])
