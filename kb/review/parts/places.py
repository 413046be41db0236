"""How often units fail at each place that they lay at."""

from datetime import date, datetime, time
from itertools import pairwise

from kb.review.facts import Facts, UnitFacts
from kb.review.paper import Column, Part, Table
from kb.review.parts import often

UNKNOWN = "place not known"
_MOST = 15


def by_place(facts: Facts) -> Part:
    """Return failures by the place that the units lay at, per unit and year of lying there."""
    days: dict[int | None, int] = {}
    first = {
        (one.cause, one.day): one.noticed_at for one in reversed(facts.faults) if one.is_failure
    }
    failures: dict[int | None, int] = {}
    units: dict[int | None, set[int]] = {}
    for unit in facts.units:
        for place, long in _lying(facts, unit).items():
            days[place] = days.get(place, 0) + long
            units.setdefault(place, set()).add(unit.key)
        for day in unit.exposure.failures:
            seen = first.get((unit.key, day))
            place = facts.lay_at(unit.key, seen) if seen else _lay_on(facts, unit, day)
            failures[place] = failures.get(place, 0) + 1
    level = facts.frame.confidence
    rows = [
        (
            facts.places.get(place, UNKNOWN) if place is not None else UNKNOWN,
            len(units[place]),
            *often.rate_of(failures.get(place, 0), days[place], level),
        )
        for place in days
        if days[place]
    ]
    # By the lower limit, so that one failure in a few days doesn't lead.
    rows.sort(key=lambda row: (-(row[5] or 0.0), -row[2], row[0]))
    if not rows:
        return Part("places", "By place", ("No unit was exposed in this window.",))
    said = [] if len(rows) > 1 else ["They all lay at one place: it tells nothing of it."]
    if len(rows) > _MOST:
        said.append(f"The {_MOST} that lead, of {len(rows)} places.")
    line = (
        "Failures per unit and year of lying there, exact two-sided limits (chi-square), ranked "
        "by the lower one: each unit's days in use shared out by where it lay, its failures by "
        "where it lay when they were noticed (they may have shown on something else). A day on "
        "which it moved counts for where it came."
    )
    table = Table((Column("Place"), *often.RATE), tuple(rows[:_MOST]))
    return Part("places", "By place", tuple(said), table, line=line)


def _lying(facts: Facts, unit: UnitFacts) -> dict[int | None, int]:
    """Return place -> on how many days of its use a unit lay there."""
    found: dict[int | None, int] = {}
    moves = facts.moves.get(unit.key, ())
    for each in unit.exposure.intervals:
        inside = [since.date() for since, _ in moves if each.since < since.date() < each.until]
        edges = sorted({each.since, *inside, each.until})
        for since, until in pairwise(edges):
            place = _lay_on(facts, unit, since)
            found[place] = found.get(place, 0) + (until - since).days
    return found


def _lay_on(facts: Facts, unit: UnitFacts, day: date) -> int | None:
    """Return where a unit lay at the end of a day; None where nobody said."""
    moves = facts.moves.get(unit.key, ())
    if not moves:
        return None
    zone = moves[0][0].tzinfo
    return facts.lay_at(unit.key, datetime.combine(day, time.max, zone))
