"""Which chart shows which figures: what `charts` draws, from what the review found."""

from collections.abc import Sequence

from kb.review import ages
from kb.review.buying import Job
from kb.review.charts import Interval, Series
from kb.review.drives import DrivesWear, DriveWear
from kb.review.fleet import Fleet, Thing
from kb.review.methods import choosing
from kb.review.methods.pareto import Bar
from kb.review.spending import Spending

_MEGA = 1e6


def rates_of(job: Job) -> list[Interval]:
    """Return the rates of a job's models and batches."""
    rows = (*job.models, *job.batches)
    return [
        Interval(one.name, one.rate.rate, one.rate.low, one.rate.high) for one in rows if one.rate
    ]


def rates_by(bars: Sequence[Bar], rows: Sequence[Spending]) -> list[Interval]:
    """Return the rates of models that failed, in the order of the bars."""
    known = {one.model: one.rate for one in rows}
    found = [(one.name, known[one.name]) for one in bars if one.value]
    return [Interval(name, rate.rate, rate.low, rate.high) for name, rate in found if rate]


def curves_of(fleet: Fleet, plugs: str, confidence: float) -> tuple[list[Series], bool]:
    """Return a curve for each model of a job that failed, and whether it's a survival curve.

    Args:
        fleet: The units of the class.
        plugs: Which job of it.
        confidence: Of each two-sided interval.
    """
    groups: dict[str, list[Thing]] = {}
    for thing in fleet.things.values():
        if thing.job == plugs:
            groups.setdefault(thing.model, []).append(thing)
    failed = {name: mine for name, mine in groups.items() if any(one.failures for one in mine)}
    most = max((one.failures for mine in failed.values() for one in mine), default=0)
    kind = next((one.equipment_class for mine in failed.values() for one in mine), "")
    repaired = choosing.is_repaired(kind, most)
    draw = _cumulative if repaired else _survival
    return [draw(name, mine, confidence) for name, mine in sorted(failed.items())], not repaired


def speeds_of(found: DrivesWear) -> list[Series]:
    """Return the write speeds of drives that slow, with the day each falls too low."""
    return [_speed(one, found.needed) for one in found.drives if one.crosses and one.in_use]


def _cumulative(name: str, mine: list[Thing], confidence: float) -> Series:
    found = ages.cumulative_of(ages.of_things(mine), confidence)
    return Series(f"{name} (n {found.units})", found.ages, found.mean, found.low, found.high)


def _survival(name: str, mine: list[Thing], confidence: float) -> Series:
    found = ages.survival_of(ages.of_things(mine), confidence)
    x, y = (0.0, *found.ages), (1.0, *found.survival)
    return Series(f"{name} (n {found.units})", x, y, (1.0, *found.low), (1.0, *found.high))


def _speed(one: DriveWear, needed: int | None) -> Series:
    mark = None
    if one.crosses and one.earliest and one.latest and needed:
        first, last = one.earliest.toordinal(), one.latest.toordinal()
        mark = (one.crosses.toordinal(), first, last, needed / _MEGA)
    x = [test.day.toordinal() for test in one.tests]
    return Series(one.name, x, [test.rate / _MEGA for test in one.tests], mark=mark)
