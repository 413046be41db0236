"""What to look at first: models by failure rate, minutes lost and cost."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

from kb.review.methods import pareto, verdict
from kb.review.methods.verdict import Group
from kb.review.paper import (
    Bar,
    Chart,
    Column,
    Interval,
    Part,
    Table,
    Value,
    counted,
    limits,
    shown,
)
from kb.review.parts import often

WAYS = ("rate", "minutes", "cost", "failures")
_MOST = 15
_MOST_MODELS = 30


@dataclass(frozen=True)
class Sums:
    """What one model adds up to in a window.

    Attributes:
        model: Maker and name.
        sort: What it can stand in for: its class, and its plugs where they are said.
        units: Exposed.
        unit_days: For how long, all together.
        failures: Counted.
        minutes: Lost with all faults about them, failures or not.
        cost: Of failures, minor units: repairs, and minutes lost at the room's rate.
    """

    model: str
    sort: str
    units: int
    unit_days: int
    failures: int
    minutes: int
    cost: int


def pareto_of(found: Sequence[Sums], way: str, confidence: float) -> Part:
    """Return models from the one to look at first.

    Args:
        found: Each model's sums.
        way: One of `WAYS`; by rate the lower limit ranks.
        confidence: Of each two-sided interval.
    """
    known = {one.model: one for one in found if one.unit_days}
    rates = {
        name: often.rate_of(one.failures, one.unit_days, confidence) for name, one in known.items()
    }
    value = _VALUES.get(way)
    values = {
        name: float(rates[name][3] or 0.0) if value is None else float(value(one))
        for name, one in known.items()
    }
    rows: list[tuple[Value, ...]] = []
    for bar in [one for one in pareto.ranked(values) if one.value > 0][:_MOST]:
        one = known[bar.name]
        running = None if value is None else bar.running
        rows.append((bar.name, one.units, *rates[bar.name], one.minutes, one.cost, running))
    columns = (
        Column("Model"),
        *often.RATE,
        Column("Minutes lost", "minutes"),
        Column("Cost", "money"),
        Column("Running", "share"),
    )
    said = () if rows else ("Nothing to rank in this window.",)
    chart = _chart(way, rows) if rows else None
    line = (
        f"Ranked by {_TOLD[way]}. Rate: failures per unit and year of 365.25 days, exact limits."
    )
    return Part("first", "What to look at first", said, Table(columns, tuple(rows)), chart, line)


def never_again(found: Sequence[Sums], confidence: float) -> Part:
    """Return the models that are clearly worse than another of their sort, with the evidence.

    Args:
        found: Each model's sums.
        confidence: Of each two-sided interval; what it leaves is what p must reach.
    """
    said: list[str] = []
    sorts: dict[str, list[Sums]] = {}
    for one in found:
        if one.unit_days and one.sort:
            sorts.setdefault(one.sort, []).append(one)
    for sort, mine in sorted(sorts.items()):
        said += _condemned(sort, mine, confidence)
    line = (
        "Ratio of the rates per unit-day, exact conditional limits, central p adjusted by Holm "
        "within a sort. What was replaced since may be worth buying again: see 'Before you buy'."
    )
    empty = "No model here is clearly worse than another of its sort."
    return Part("never", "Never again", tuple(said or [empty]), line=line)


def _condemned(sort: str, mine: list[Sums], confidence: float) -> list[str]:
    if len(mine) > _MOST_MODELS:
        return [f"{sort}: {len(mine)} models are too many to set each against each."]
    rate = {one.model: one.failures / one.unit_days for one in mine}
    pairs = [
        (one, other)
        for one, other in permutations(mine, 2)
        if (rate[one.model], other.model) > (rate[other.model], one.model)
    ]
    judged = verdict.judge(
        [tuple(Group(each.failures, each.unit_days) for each in pair) for pair in pairs],  # type: ignore[misc]
        confidence=confidence,
    )
    said = []
    for (one, other), found in zip(pairs, judged, strict=True):
        if found.word == verdict.WORSE:
            ratio = shown(found.ratio.ratio, "ratio") or "can't be stated"
            interval = limits(found.ratio.low, found.ratio.high, "ratio")
            said.append(
                f"{one.model} ({sort}): {_evidence(one, confidence)}, clearly worse than "
                f"{other.model}: {_evidence(other, confidence)}; ratio {ratio} ({interval}), p "
                f"{shown(found.p, 'p')}."
            )
    return said


def _evidence(one: Sums, confidence: float) -> str:
    _, failures, rate, low, high = often.rate_of(one.failures, one.unit_days, confidence)
    return (
        f"{counted(failures, 'failure')} in {one.unit_days:,} unit-days "
        f"({shown(rate, 'rate')} a unit and year, {limits(low, high, 'rate')})"
    )


def _chart(way: str, rows: Sequence[tuple[Value, ...]]) -> Chart:
    """Return rates with their limits, or sums as bars with the running share at their end."""
    if way == "rate":
        bars = (Interval(str(row[0]), _number(row[4]), *map(_number, row[5:7])) for row in rows)
        return Chart("failures per unit and year, with limits", intervals=tuple(bars))
    at, form = _SHOWN[way]
    scale = 1 / 100 if form == "money" else 1.0
    sums = tuple(
        Bar(
            str(row[0]),
            scale * _number(row[at]),
            f"{shown(row[at], form)}, so far {shown(row[-1], 'share')}",
        )
        for row in rows
    )
    return Chart(_AXES[way], bars=sums)


def _number(value: Value) -> float:
    return float(value) if isinstance(value, int | float) else 0.0


_SHOWN = {"minutes": (7, "minutes"), "cost": (8, "money"), "failures": (3, "count")}
_AXES = {
    "minutes": "minutes lost in the window",
    "cost": "cost of failures in the window",
    "failures": "failures in the window",
}
_VALUES: Mapping[str, Callable[[Sums], int]] = {
    "minutes": lambda one: one.minutes,
    "cost": lambda one: one.cost,
    "failures": lambda one: one.failures,
}
_TOLD = {
    "rate": "the lower limit of the failure rate, so that one failure in little time doesn't lead",
    "minutes": "minutes lost with all faults about them, failures or not",
    "cost": "the cost of failures: repairs, and minutes at the room's rate",
    "failures": "the number of failures; the most numerous model leads such a list",
}
