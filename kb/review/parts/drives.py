"""Drives: write speed falling towards what is needed, and the annualised failure rate by age."""

from datetime import date, timedelta
from math import exp, isfinite, log

from kb.errors import InvalidError
from kb.review.facts import Facts, SpeedFacts, UnitFacts
from kb.review.methods import annualised, rates, wear
from kb.review.methods.choice import FOR_A_VERDICT
from kb.review.methods.wear import Wear
from kb.review.paper import (
    Chart,
    Column,
    Part,
    Points,
    Table,
    Value,
    counted,
    limits,
    shown,
)
from kb.review.parts import often

_MB = 1_000_000
_YEAR = 365
_QUARTER = 365.25 / 4
_FURTHEST = 3653
_DRAWN = 18
_COLUMNS = (
    Column("Drive"),
    Column("Model"),
    Column("Tests", "count"),
    Column("Last, MB/s", "number"),
    Column("Lost a quarter", "share"),
    Column("Low", "share"),
    Column("High", "share"),
    Column("Crosses", "day"),
    Column("Earliest", "day"),
    Column("Latest", "day"),
)


def speeds(facts: Facts) -> Part:
    """Return each drive's write speed and the day it crosses what is needed, with limits."""
    title = "Write speed"
    if not facts.speeds:
        return Part("speed", title, ("No drive's speed has been tested.",))
    if facts.needed_speed is None:
        word = "No rule says how fast a drive must be: give a spare rule its needed rate."
        return Part("speed", title, (word,))
    needed = facts.needed_speed
    said, rows, drawn = [], [], []
    for unit in facts.units:
        tests = [one for one in facts.speeds if one.item == unit.key]
        if tests:
            row, word, points = _drive(unit, tests, needed, facts)
            rows.append(row)
            drawn.append(points)
            said += [word] if word else []
    flat = sum(1 for row in rows if row[7] is None)
    if flat:
        said.append(
            f"{counted(flat, 'drive')} of {len(rows)}: no slowing that crosses it is seen."
        )
    line = (
        f"Line through the logarithm of the tested speed, needed {needed / _MB:.1f} MB/s; "
        f"limits of the day by Fieller, {rates.percent(facts.frame.confidence)}. A hot recorder "
        "sees less than the bench, so warnings come before the day."
    )
    seen, level = tuple(drawn[:_DRAWN]), needed / _MB
    chart = Chart("sustained write speed, MB/s", points=seen, limit=level, across="day")
    table = Table(_COLUMNS, tuple(rows), is_said=True)
    return Part("speed", title, tuple(said), table, chart, line)


def tests(facts: Facts) -> Part:
    """Return what was measured, test by test: the points of the chart of write speed."""
    names = {unit.key: (unit.name, unit.model) for unit in facts.units}
    rows = tuple(
        (*names[one.item], one.day, one.write_rate / _MB)
        for one in facts.speeds
        if one.item in names
    )
    columns = (Column("Drive"), Column("Model"), Column("Day", "day"), Column("MB/s", "number"))
    table = Table(columns, rows, is_said=True) if rows else None
    said = (f"{counted(len(rows), 'test')} of {counted(len({row[0] for row in rows}), 'drive')}.",)
    line = "Sustained write speed as measured: the points of the chart above."
    return Part("tests", "Speeds measured", said, table, line=line)


def by_age(facts: Facts) -> Part:
    """Return the annualised failure rate of drives by years of age."""
    _, starts, ends = often.spans(facts.units)
    failures = [float(unit.age(day)) for unit in facts.units for day in unit.exposure.failures]
    spans = list(zip(starts, ends, strict=True))
    bands = annualised.by_age(
        spans, failures, [0, _YEAR, 2 * _YEAR, 3 * _YEAR], confidence=facts.frame.confidence
    )
    rows: list[tuple[Value, ...]] = []
    for band in bands:
        if band.annualised is not None:
            rate = band.annualised.rate
            until = f"up to {band.until / _YEAR:.0f}" if band.until else "and older"
            name = f"{band.since / _YEAR:.0f} {until}"
            row = (name, band.drives, round(band.drive_days), band.failures)
            found = band.annualised
            chances = (found.chance, found.chance_low, found.chance_high)
            rows.append((*row, rate.rate, rate.low, rate.high, *chances))
    columns = (
        Column("Years of age"),
        Column("Drives", "count"),
        Column("Drive-days", "count"),
        Column("Failures", "count"),
        Column("AFR", "rate"),
        Column("Low", "rate"),
        Column("High", "rate"),
        Column("Chance in a year", "share"),
        Column("Chance low", "share"),
        Column("Chance high", "share"),
    )
    said = (
        ("With so few drives the interval is the message.",)
        if facts.failures < FOR_A_VERDICT
        else ()
    )
    line = (
        "AFR: failures per drive-day times 365, exact limits; 'too slow' booked as a drive's own "
        "failure counts. Chance in a year: 1 - exp(-AFR), if the rate stays."
    )
    table = Table(columns, tuple(rows)) if rows else None
    return Part("afr", "Annualised failure rate by age", said, table, line=line)


def _drive(
    unit: UnitFacts, tests: list[SpeedFacts], needed: int, facts: Facts
) -> tuple[tuple[Value, ...], str, Points]:
    first = tests[0].day
    times = [float((one.day - first).days) for one in tests]
    values = [one.write_rate / _MB for one in tests]
    plain = Points(unit.name, tuple(one.day for one in tests), tuple(values))
    row: tuple[Value, ...] = (unit.name, unit.model, len(tests), values[-1])
    try:
        found = wear.wear(times, values, needed / _MB, confidence=facts.frame.confidence)
    except InvalidError:
        return (
            (*row, *[None] * 6),
            f"{unit.name}: {counted(len(tests), 'test')}, no line yet.",
            plain,
        )
    losses = [_a_quarter(one) for one in (found.loss, found.loss_low, found.loss_high)]
    days = _days(found, first)
    word = _word(unit, found, days, len(tests)) if days[0] else ""
    return (*row, *losses, *days), word, _line(plain, found, first)


def _a_quarter(daily: float) -> float:
    return 1 - exp(log(1 - daily) * _QUARTER)


def _days(found: Wear, first: date) -> tuple[date | None, date | None, date | None]:
    """Return the day of crossing with its limits; none where the drive isn't seen to slow."""
    crossing = found.crossing
    if not found.slows or crossing.time is None or crossing.time > _FURTHEST:
        return None, None, None
    ends = (
        first + timedelta(days=round(each)) if isfinite(each) and abs(each) < _FURTHEST else None
        for each in (crossing.low, crossing.high)
    )
    low, high = ends
    return first + timedelta(days=round(crossing.time)), low, high


def _word(
    unit: UnitFacts, found: Wear, days: tuple[date | None, date | None, date | None], tests: int
) -> str:
    lost = shown(_a_quarter(found.loss), "share")
    share = limits(_a_quarter(found.loss_low), _a_quarter(found.loss_high), "share")
    between = f"{days[1] or 'no earliest day'} to {days[2] or 'no latest day'}"
    return (
        f"{unit.name} ({unit.model}) loses {lost} a quarter ({share}); it crosses what is needed "
        f"on {days[0]} ({between}; {tests} tests)."
    )


def _line(points: Points, found: Wear, first: date) -> Points:
    last = (points.days[-1] - first).days
    if found.slows and found.crossing.time:
        last = max(last, min(round(found.crossing.time), last + _YEAR))
    times = [last * step / 24 for step in range(25)]
    heights = [found.line.height(time) for time in times]
    return Points(
        points.name,
        points.days,
        points.values,
        tuple(first + timedelta(days=round(time)) for time in times),
        *(tuple(exp(height[at]) for height in heights) for at in range(3)),
    )
