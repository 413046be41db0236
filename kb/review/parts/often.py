"""How often units fail: by unit, batch and model, with exact limits."""

from bisect import bisect_left
from collections.abc import Mapping

from kb.review.facts import Facts, UnitFacts
from kb.review.methods import choice, definitions, rates, shrinkage, spread, trend
from kb.review.methods.choice import Data, Figure, NotShown, Plan
from kb.review.methods.definitions import Basis
from kb.review.paper import Chart, Column, Interval, Part, Table, counted, limits, shown

RATE = (
    Column("Units", "count"),
    Column("Unit-days", "count"),
    Column("Failures", "count"),
    Column("Rate", "rate"),
    Column("Low", "rate"),
    Column("High", "rate"),
)
_FOR_A_SPREAD = 3


def basis(facts: Facts) -> Basis:
    """Return what a figure over all the units rests on."""
    frame = facts.frame
    return Basis(
        frame.window.since, frame.window.until, facts.unit_days, facts.failures, frame.confidence
    )


def plan(facts: Facts, *, groups: int = 1) -> Plan:
    """Return which figures the units' data can carry.

    Args:
        facts: About the units.
        groups: How many models or batches stand side by side.
    """
    ages = {unit.age(day) for unit in facts.units for day in unit.exposure.failures}
    data = Data(
        failures=facts.failures,
        unit_days=facts.unit_days,
        units=sum(1 for unit in facts.units if unit.days),
        repaired=facts.repaired,
        groups=groups,
        ages=len(ages),
        repeats=any(unit.failures > 1 for unit in facts.units),
        trend_p=_trend_p(facts),
    )
    return choice.decide(data)


def spans(units: tuple[UnitFacts, ...]) -> tuple[list[list[float]], list[float], list[float]]:
    """Return each exposed unit's ages at failure, at the start and at the end of its watch.

    Ages are days in service; a failure lies at the end of its day, one on the day that ended
    the watch ends it.
    """
    events, starts, ends = [], [], []
    for unit in units:
        if unit.days:
            first, last = unit.exposure.intervals[0].since, unit.exposure.intervals[-1].until
            ages = [float(unit.age(day)) for day in unit.exposure.failures]
            events.append(ages)
            starts.append(float((first - unit.in_service).days))
            ends.append(max([float((last - unit.in_service).days), *ages]))
    return events, starts, ends


def rate_row(facts: Facts) -> tuple[int, int, int, float | None, float | None, float | None]:
    """Return units, unit-days, failures, rate and its limits."""
    units = sum(1 for unit in facts.units if unit.days)
    return units, *rate_of(facts.failures, facts.unit_days, facts.frame.confidence)


def rate_of(
    failures: int, unit_days: int, confidence: float
) -> tuple[int, int, float | None, float | None, float | None]:
    """Return unit-days, failures, rate a unit and year and its limits; none without exposure.

    Args:
        failures: Counted.
        unit_days: Exposed.
        confidence: Of the two-sided interval.
    """
    if not unit_days:
        return 0, failures, None, None, None
    found = rates.yearly_rate(failures, unit_days, confidence=confidence)
    return unit_days, failures, found.rate, found.low, found.high


def how_often(facts: Facts) -> Part:
    """Return how often the units fail, all together and each."""
    chosen = plan(facts)
    if not facts.unit_days:
        return Part("rate", "How often", ("No unit was exposed in this window.",))
    confidence = facts.frame.confidence
    said = [rates.in_words(facts.failures, facts.unit_days, confidence=confidence)]
    if Figure.MEAN_TIME in chosen.shown:
        said.append(_mean_time(facts))
    said += _piled(facts)
    if facts.left_out:
        names = ", ".join(f"{name} ({reason})" for name, reason in facts.left_out)
        said.append(f"Left out: {names}.")
    batches = any(unit.batch for unit in facts.units)
    rows = tuple(
        (
            unit.name,
            *([unit.batch] if batches else []),
            *rate_of(unit.failures, unit.days, confidence),
        )
        for unit in facts.units
    )
    columns = (Column("Unit"), *([Column("Batch")] if batches else []), *RATE[1:])
    figure = Figure.RATE if facts.failures else Figure.BOUND
    line = definitions.line(figure, basis(facts), _looked_for(chosen))
    if chosen.why_not(Figure.MEAN_TIME) and facts.failures:
        line += " The rate is the mean over the window, not what it has come to."
    return Part("rate", "How often", tuple(said), Table(columns, rows), line=line)


def side_by_side(facts: Facts, groups: dict[str, Facts], what: str) -> Part:
    """Return rates of groups side by side, drawn towards each other, by the lower limit.

    Args:
        facts: All together.
        groups: Name -> the facts about its units.
        what: 'Model' or 'Batch'.
    """
    exposed = {name: each for name, each in groups.items() if each.unit_days}
    drawn = shrinkage.shrunk_rates(
        [each.failures for each in exposed.values()],
        [each.unit_days / rates.DAYS_A_YEAR for each in exposed.values()],
        confidence=facts.frame.confidence,
    )
    rows = [
        (name, *rate_row(each), one.mean, one.low, one.high)
        for (name, each), one in zip(exposed.items(), drawn, strict=True)
    ]
    rows.sort(key=lambda row: (-row[8], row[0]))
    extra = tuple(Column(name, "rate") for name in ("Shrunk", "Shrunk low", "Shrunk high"))
    bars = tuple(Interval(row[0], row[4] or 0.0, row[5] or 0.0, row[6] or 0.0) for row in rows)
    line = (
        definitions.line(Figure.RATE, basis(facts))
        + " "
        + (f"Shrunk: {definitions.TEXTS[Figure.SHRUNK]}.")
    )
    together = rates.in_words(facts.failures, facts.unit_days, confidence=facts.frame.confidence)
    only = f"There is only one {what.lower()}."
    return Part(
        key=what.lower(),
        title=f"{'Batches' if what == 'Batch' else f'{what}s'} side by side",
        sentences=(f"All together: {together}" if len(rows) > 1 else only,),
        table=Table((Column(what), *RATE, *extra), tuple(rows)),
        chart=Chart("failures per unit and year, with limits", intervals=bars),
        line=line,
    )


def by_shows(facts: Facts, groups: Mapping[str, Facts] | None = None) -> Part:
    """Return failures per 100 shows held while the units were in use.

    Args:
        facts: About all the units.
        groups: Name -> the facts about its units; each unit by itself where it's left out.
    """
    parted = groups or {unit.name: facts.only((unit,)) for unit in facts.units}
    told = [(name, _per_hundred(each)) for name, each in parted.items()]
    rows = tuple((name, *row) for name, row in told if row[1])
    title = "By shows held"
    if not rows:
        return Part("shows", title, ("No show was held while they were in use.",))
    units, shows, failures, rate, low, high = _per_hundred(facts)
    said = (
        f"{counted(failures, 'failure')} in {shows:,} unit-shows of {counted(units, 'unit')}: "
        f"{shown(rate, 'rate')} per 100 shows of a unit ({limits(low, high, 'rate')})."
    )
    columns = (
        Column("Model" if groups else "Unit"),
        Column("Units", "count"),
        Column("Unit-shows", "count"),
        Column("Failures", "count"),
        Column("Per 100 shows", "rate"),
        Column("Low", "rate"),
        Column("High", "rate"),
    )
    line = (
        f"Per 100 shows: failures for each 100 of the {counted(len(facts.shows), 'show')} held "
        "while a unit was in use, whenever they were noticed; rehearsals and shows called off "
        "don't count. Exact two-sided limits (chi-square). By this compare what rests between "
        "shows, by unit-days what wears with the calendar."
    )
    return Part("shows", title, (said,), Table(columns, rows), line=line)


def _per_hundred(
    facts: Facts,
) -> tuple[int, int, int, float | None, float | None, float | None]:
    """Return units, unit-shows, failures, failures per 100 shows and the limits of that."""
    held = [held_shows(facts, unit) for unit in facts.units]
    units, shows = sum(1 for one in held if one), sum(held)
    if not shows:
        return units, 0, facts.failures, None, None, None
    found = rates.failure_rate(facts.failures, shows / 100, confidence=facts.frame.confidence)
    return units, shows, facts.failures, found.rate, found.low, found.high


def held_shows(facts: Facts, unit: UnitFacts) -> int:
    """Return how many shows were held on days on which a unit was in use."""
    days = [day for _, day in facts.shows]
    return sum(
        bisect_left(days, each.until) - bisect_left(days, each.since)
        for each in unit.exposure.intervals
    )


def _trend_p(facts: Facts) -> float | None:
    """Return the smaller of two tests' p, doubled; None with too few failures to test."""
    if facts.failures < choice.FOR_A_VERDICT or not facts.repaired:
        return None
    events, starts, ends = spans(facts.units)
    found = (
        trend.laplace(events, ends, starts=starts).p,
        trend.military_handbook(events, ends, starts=starts).p,
    )
    return min(1.0, 2 * min(found))


def _looked_for(chosen: Plan) -> list[NotShown]:
    wanted = (Figure.MEAN_TIME, Figure.TREND, Figure.WEIBULL, Figure.STEADY_AVAILABILITY)
    return [one for one in chosen.not_shown if one.figure in wanted]


def _mean_time(facts: Facts) -> str:
    found = rates.mean_time(
        facts.failures, float(facts.unit_days), confidence=facts.frame.confidence
    )
    return (
        f"Mean elapsed time between failures: {shown(found.mean, 'count')} days of a unit "
        f"({limits(found.low, found.high, 'count')}; {counted(facts.failures, 'failure')})."
    )


def _piled(facts: Facts) -> list[str]:
    """Return whether failures pile up on few units."""
    exposed = [unit for unit in facts.units if unit.days]
    if facts.failures < _FOR_A_SPREAD or len(exposed) <= 1 or not facts.repaired:
        return []
    found = spread.over_units(
        [unit.failures for unit in exposed], [float(unit.days) for unit in exposed]
    )
    most = max(exposed, key=lambda unit: (unit.failures, unit.name))
    told = f"{most.name} has {most.failures} of the {counted(facts.failures, 'failure')}"
    if found.p <= 1 - facts.frame.confidence:
        return [f"They pile up: {told}, more than chance spreads (p {shown(found.p, 'p')})."]
    return [f"{told}; chance alone spreads as unevenly (p {shown(found.p, 'p')})."]
