"""What is known of a group of units: each figure that may be shown, each other with its reason."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from kb.review import ages
from kb.review.ages import Trend
from kb.review.fleet import Fleet, Report, Thing
from kb.review.methods import choosing, rates, shrinkage, spread
from kb.review.methods.choosing import Choice, Figure, Sample
from kb.review.methods.rates import MeanTime, Rate
from kb.review.methods.shrinkage import Shrunk
from kb.review.methods.spread import Spread

_YEAR = rates.DAYS_A_YEAR
# Known to `choosing`, but no part of the report yet: a line without its figure would mislead.
_NOT_REPORTED = frozenset({Figure.WEIBULL, Figure.CURVES_COMPARED})


@dataclass(frozen=True)
class Evidence:
    """What is known of one model, or of one batch of it.

    Attributes:
        name: The model, or the batch.
        units: How many were exposed.
        in_use: How many are in use now.
        left_out: Units without an in-service date.
        rate: Failures a unit and year, exact limits; None where nothing was exposed.
        shrunk: The same drawn towards the others'; None where there are no others.
        unit_days: For how long they were exposed, all together.
        failures: How many count.
        mean_time: In days; None where a mean would mislead or too few failed.
        trend: None where too few failed, or units aren't repaired.
        outlasting: Share that outlasts a year of service; None where units are repaired or
            too few failed.
        piled: Whether failures pile up on some units; None where too few failed.
        worst: The unit with most failures, and how many.
        minutes: Lost by its failures.
        cost_minor: Minutes lost at the room's rate.
        price_minor: Paid for a unit, on average; None where no price is known.
        warranty: Units whose warranty is still open at the end of the window.
        kinds: Cause kind -> faults blamed on it, those that are no failures too.
        seen_elsewhere: Failures of its own that were seen on something else.
        hidden: Faults seen on it that something else caused.
        words: The rate as a sentence.
        lines: A line below each figure shown.
        withheld: Figure -> why it isn't shown.
    """

    name: str
    units: int
    in_use: int
    left_out: tuple[str, ...]
    rate: Rate | None
    shrunk: Shrunk | None
    unit_days: int
    failures: int
    mean_time: MeanTime | None
    trend: Trend | None
    outlasting: tuple[float, float, float] | None
    piled: Spread | None
    worst: tuple[str, int] | None
    minutes: int
    cost_minor: int
    price_minor: int | None
    warranty: tuple[str, ...]
    kinds: Mapping[str, int]
    seen_elsewhere: int
    hidden: int
    words: str
    lines: tuple[str, ...]
    withheld: Mapping[Figure, str]


def side_by_side(
    fleet: Fleet, groups: Mapping[str, Sequence[Thing]], *, minute_cost: int, confidence: float
) -> tuple[Evidence, ...]:
    """Return groups of units side by side, the highest lower limit of the shrunk rate first.

    Args:
        fleet: Where the units come from, with the faults that touch them.
        groups: What each is called -> its units.
        minute_cost: What one lost minute costs, in minor units.
        confidence: Of each two-sided interval.
    """
    exposed = [name for name, mine in groups.items() if sum(one.unit_days for one in mine)]
    shrunk: dict[str, Shrunk] = {}
    if len(exposed) > 1:
        counts = [sum(one.failures for one in groups[name]) for name in exposed]
        years = [sum(one.unit_days for one in groups[name]) / _YEAR for name in exposed]
        found = shrinkage.shrunk_rates(counts, years, confidence=confidence)
        shrunk = dict(zip(exposed, found, strict=True))
    told = [
        _told(fleet, name, mine, shrunk.get(name), len(exposed), minute_cost, confidence)
        for name, mine in groups.items()
    ]
    return tuple(sorted(told, key=lambda one: (-(one.shrunk.low if one.shrunk else 0), one.name)))


def _told(  # noqa: PLR0913, PLR0917 - a group and what it is told with
    fleet: Fleet,
    name: str,
    mine: Sequence[Thing],
    shrunk: Shrunk | None,
    groups: int,
    minute_cost: int,
    confidence: float,
) -> Evidence:
    blamed, seen = _touching(fleet, mine)
    sample, trend = _sample(mine, groups, 1 - confidence)
    choice = choosing.choose(sample)
    minutes = sum(one.minutes for one in blamed if one.counts)
    days = fleet.window
    return Evidence(
        name=name,
        units=sample.units,
        in_use=sum(1 for one in mine if one.in_use),
        left_out=tuple(one.name for one in mine if one.exposure is None),
        shrunk=shrunk,
        unit_days=sample.unit_days,
        failures=sample.failures,
        trend=trend,
        minutes=minutes,
        cost_minor=minutes * minute_cost,
        price_minor=_price(mine),
        warranty=tuple(one.name for one in mine if _warranted(one, days.until)),
        kinds=dict(Counter(one.kind or "not said" for one in blamed)),
        seen_elsewhere=_elsewhere(blamed),
        hidden=seen,
        lines=tuple(
            choosing.line(one, sample, days.since, days.until, confidence=confidence)
            for one in choice.shown
            if one not in _NOT_REPORTED
        ),
        withheld=choice.withheld,
        **_figures(mine, sample, choice, confidence),
    )


def _sample(mine: Sequence[Thing], groups: int, wanted: float) -> tuple[Sample, Trend | None]:
    """Return what is known of units, and their trend where one may be tested."""
    most = max((one.failures for one in mine), default=0)
    sample = Sample(
        failures=sum(one.failures for one in mine),
        unit_days=sum(one.unit_days for one in mine),
        units=sum(1 for one in mine if one.unit_days),
        repaired=choosing.is_repaired(mine[0].equipment_class, most),
        groups=groups,
        repeats=most > 1,
    )
    trend = _trend(mine, sample, wanted)
    return replace(sample, trend_p=trend.p if trend else None), trend


def _warranted(one: Thing, day: date) -> bool:
    return one.in_use and one.warranty_until is not None and one.warranty_until >= day


def _figures(
    mine: Sequence[Thing], sample: Sample, choice: Choice, confidence: float
) -> dict[str, Any]:
    """Return the figures that the choice lets through."""
    clock = ages.of_things(mine)
    worst = max(mine, key=lambda one: one.failures, default=None)
    exposed = [one for one in mine if one.unit_days]
    enough = sample.failures >= choosing.ENOUGH and len(exposed) > 1
    shown = choice.shown
    return {
        "rate": rates.yearly_rate(sample.failures, sample.unit_days, confidence=confidence)
        if sample.unit_days
        else None,
        "words": rates.in_words(sample.failures, sample.unit_days, confidence=confidence)
        if sample.unit_days
        else "Not in use in this time.",
        "mean_time": rates.mean_time(sample.failures, sample.unit_days, confidence=confidence)
        if Figure.MEAN_TIME in shown
        else None,
        "outlasting": ages.outlasting(clock, _YEAR, confidence)
        if Figure.SURVIVAL in shown
        else None,
        "piled": spread.over_units(
            [one.failures for one in exposed], [one.unit_days for one in exposed]
        )
        if enough
        else None,
        "worst": (worst.name, worst.failures) if worst and worst.failures > 1 else None,
    }


def _touching(fleet: Fleet, mine: Sequence[Thing]) -> tuple[list[Report], int]:
    """Return the faults blamed on units, and how many seen on them something else caused."""
    keys = {one.key for one in mine}
    blamed = [one for one in fleet.reports if one.cause in keys]
    hidden = sum(
        1
        for one in fleet.reports
        if one.seen in keys and one.cause is not None and one.cause not in keys
    )
    return blamed, hidden


def _elsewhere(blamed: Sequence[Report]) -> int:
    """Return how many failures nobody saw on the item to blame that day."""
    own = {(one.cause, one.day) for one in blamed if one.seen == one.cause}
    return sum(1 for one in blamed if one.counts and (one.cause, one.day) not in own)


def _trend(mine: Sequence[Thing], sample: Sample, wanted: float) -> Trend | None:
    if sample.failures < choosing.ENOUGH or not sample.repaired:
        return None
    return ages.trend_of(ages.of_things(mine), wanted)


def _price(mine: Sequence[Thing]) -> int | None:
    known = [one.price_minor for one in mine if one.price_minor is not None]
    return round(sum(known) / len(known)) if known else None
