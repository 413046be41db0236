"""Before and after: did a service, a firmware step or a day change how often it fails."""

from dataclasses import replace
from datetime import date
from math import inf

from kb.records.kinds import ServiceKind
from kb.review.facts import Facts, FaultFacts
from kb.review.methods import ratios
from kb.review.methods.choice import Figure
from kb.review.paper import Column, Part, Table, Value, limits, shown
from kb.review.parts import often

# Those that are done to change something; an inspection or a test only looks.
CHANGES = frozenset(
    {
        ServiceKind.REPAIR.value,
        ServiceKind.FIRMWARE.value,
        ServiceKind.CLEANING.value,
        ServiceKind.MODIFICATION.value,
    }
)
COLUMNS = (
    Column("Day", "day"),
    Column("What"),
    Column("Counted"),
    Column("Before", "count"),
    Column("Days before", "count"),
    Column("After", "count"),
    Column("Days after", "count"),
    Column("Ratio", "ratio"),
    Column("Low", "ratio"),
    Column("High", "ratio"),
    Column("p", "p"),
)
_TRENDING = (
    "They were getting better or worse all along, so before and after are of different ages: "
    "more failures after a step don't blame it, and none of them shows that it turned the trend."
)
LINE = (
    "Events after a day over those before it, each per unit-day in use (a day's own events count "
    "as before); exact conditional limits and central p. 'Faults alike' are all faults with the "
    "symptom that the service was for, whatever their cause, so that a setting that went back is "
    "seen. Something else may have changed on the same day, and what is done after a bad spell "
    "looks good by itself."
)


def services(facts: Facts) -> Part:
    """Return before and after each service that was done to change something."""
    window = facts.frame.window
    said: list[str] = []
    rows: list[tuple[Value, ...]] = []
    units = {unit.key: unit for unit in facts.units}
    for one in facts.services:
        if one.kind in CHANGES and window.since < one.day < window.until:
            known = sorted(units.keys() & one.items)
            mine = replace(facts, units=tuple(units[key] for key in known))
            for name, days in _counted(mine, facts, one.symptom):
                row, word = compare(mine, one.day, f"{one.kind}: {one.work}", name, days)
                if row is not None:
                    rows.append(row)
                    said.append(word)
    if rows and often.plan(facts).why_not(Figure.MEAN_TIME):
        said.insert(0, _TRENDING)
    empty = "No repair, firmware step, cleaning or modification of them in this window."
    table = Table(COLUMNS, tuple(rows), is_said=True) if rows else None
    return Part("hindsight", "Before and after", tuple(said or [empty]), table, line=LINE)


def since_day(facts: Facts, day: date, what: str) -> Part:
    """Return before and after a day: a purchase, a rule, a step nobody booked as a service.

    Args:
        facts: About the units.
        day: The first day of 'after'.
        what: What happened on it.
    """
    rows, said = [], []
    keys = {unit.key for unit in facts.units}
    faults = [one.day for one in facts.faults if one.about in keys]
    for name, days in (("failures", _failures(facts)), ("all faults", faults)):
        row, word = compare(facts, day, what, name, days, day_itself_after=True)
        said.append(word)
        rows += [row] if row is not None else []
    line = LINE.replace("(a day's own events count as before)", "(the day itself is after)")
    table = Table(COLUMNS, tuple(rows), is_said=True) if rows else None
    return Part("hindsight", f"Before and after {day}", tuple(said), table, line=line)


def compare(
    facts: Facts,
    day: date,
    what: str,
    name: str,
    events: list[date],
    *,
    day_itself_after: bool = False,
) -> tuple[tuple[Value, ...] | None, str]:
    """Return one comparison as a row and as a sentence; no row where one side has no exposure.

    Args:
        facts: About the units.
        day: That parts before from after.
        what: What happened on it.
        name: What is counted.
        events: The days of what is counted.
        day_itself_after: Whether the day's own events count as after.
    """
    intervals = [each for unit in facts.units for each in unit.exposure.intervals]
    before = sum(max(0, (min(each.until, day) - each.since).days) for each in intervals)
    after = sum(max(0, (each.until - max(each.since, day)).days) for each in intervals)
    late = sum(1 for one in events if one > day or (day_itself_after and one == day))
    early = len(events) - late
    if not (before and after):
        return None, f"{what} ({day}): nothing to compare, one side has no unit-days."
    found = ratios.rate_ratio(late, after, early, before, confidence=facts.frame.confidence)
    row = (
        *(day, what, name, early, before, late, after),
        *(found.ratio, found.low, inf if found.high is None else found.high, found.p),
    )
    counts = f"{name} {early} in {before:,} unit-days before, {late} in {after:,} after"
    ratio = f"ratio {shown(found.ratio, 'ratio') or 'without limit'}"
    told = f"{counts}; {ratio} ({limits(found.low, found.high, 'ratio')}), p {shown(found.p, 'p')}"
    return row, f"{what} ({day}): {_word(found, facts.frame.confidence)}. {told.capitalize()}."


def _word(found: ratios.RateRatio, confidence: float) -> str:
    if found.p <= 1 - confidence:
        return (
            "clearly fewer after"
            if found.high is not None and found.high < 1
            else ("clearly more after")
        )
    return "no evidence that it changed anything"


def _counted(mine: Facts, facts: Facts, symptom: str) -> list[tuple[str, list[date]]]:
    """Return what is counted around a service: failures, and faults alike if it was for one."""
    found = [("failures", _failures(mine))]
    keys = {unit.key for unit in mine.units}
    alike = [one.day for one in facts.faults if _alike(one, keys, symptom)]
    if symptom and len(alike) != len(found[0][1]):
        found.append((f"faults alike ({symptom})", alike))
    return found


def _alike(fault: FaultFacts, keys: set[int], symptom: str) -> bool:
    return bool({fault.seen, fault.cause} & keys) and fault.symptom == symptom


def _failures(facts: Facts) -> list[date]:
    return [day for unit in facts.units for day in unit.exposure.failures]
