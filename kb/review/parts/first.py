"""What to look at first: models by failure rate, minutes lost and cost."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from kb.review.methods import pareto
from kb.review.paper import Chart, Column, Interval, Part, Table, Value
from kb.review.parts import often

WAYS = ("rate", "minutes", "cost", "failures")
_MOST = 15


@dataclass(frozen=True)
class Sums:
    """What one model adds up to in a window.

    Attributes:
        model: Maker and name.
        units: Exposed.
        unit_days: For how long, all together.
        failures: Counted.
        minutes: Lost with all faults about them, failures or not.
        cost: Of failures, minor units: repairs, and minutes lost at the room's rate.
    """

    model: str
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
        share = () if value is None else (bar.share, bar.running)
        rows.append((bar.name, one.units, *rates[bar.name], one.minutes, one.cost, *share))
    columns = (
        Column("Model"),
        *often.RATE,
        Column("Minutes lost", "minutes"),
        Column("Cost", "money"),
        *([] if value is None else [Column("Of all", "share"), Column("Running", "share")]),
    )
    chart = Chart(
        _AXES[way],
        intervals=tuple(_interval(row) for row in rows if value is None),
        bars=tuple((str(row[0]), values[str(row[0])]) for row in rows if value is not None),
    )
    said = () if rows else ("Nothing to rank in this window.",)
    line = (
        f"Ranked by {_TOLD[way]}. Rate: failures per unit and year of 365.25 days, exact limits."
    )
    return Part(
        "first",
        "What to look at first",
        said,
        Table(columns, tuple(rows)),
        chart if rows else None,
        line,
    )


def _interval(row: tuple[Value, ...]) -> Interval:
    value, low, high = (float(one) for one in row[4:7] if isinstance(one, int | float))
    return Interval(str(row[0]), value, low, high)


_AXES = {
    "rate": "failures per unit and year, with limits",
    "minutes": "minutes lost",
    "cost": "cost of failures",
    "failures": "failures",
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
