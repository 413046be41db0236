"""Faults that something else caused, and where faults lie: on the units or at the places."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kb.review.fleet import Fleet, Report
from kb.review.methods import spread
from kb.review.methods.choosing import ENOUGH, SIGNIFICANT

_QUARTER = 3
_TWO = 2


@dataclass(frozen=True)
class Quarter:
    """Three months of a class.

    Attributes:
        since: Its first day.
        seen: Faults seen on the class that were a failure of something.
        own: Failures of the class's own units.
    """

    since: date
    seen: int
    own: int


@dataclass(frozen=True)
class Hidden:
    """A fault that was seen on one thing and caused by another.

    Attributes:
        number: The fault.
        day: When.
        seen: The thing it was seen on.
        cause: The thing to blame.
        cause_class: Its class.
        text: What was reported.
    """

    number: int
    day: date
    seen: str
    cause: str
    cause_class: str
    text: str


@dataclass(frozen=True)
class HiddenCauses:
    """What was seen on units of a class, and what caused it.

    Attributes:
        seen: How many failures were seen on them, whoever caused them.
        hidden: Those that another thing caused.
        own: Failures of theirs, wherever they were seen.
        quarters: The same by three months, oldest first.
        words: What it comes to.
    """

    seen: int
    hidden: tuple[Hidden, ...]
    own: int
    quarters: tuple[Quarter, ...]
    words: str


@dataclass(frozen=True)
class Pile:
    """Failures of one unit, or at one place.

    Attributes:
        name: Of the unit or the place.
        failures: How many.
        unit_days: For how long; of a place, None.
        others: Different units that failed there; of a unit, places that it failed at.
    """

    name: str
    failures: int
    unit_days: int | None
    others: int


@dataclass(frozen=True)
class Whereabouts:
    """Whether failures follow the unit or stay with the place.

    Attributes:
        units: Each unit that failed, most failures first.
        places: Each thing or place they were seen at, likewise.
        units_p: That chance spreads them over the units so; None with too few.
        words: What it comes to.
    """

    units: tuple[Pile, ...]
    places: tuple[Pile, ...]
    units_p: float | None
    words: str


def hidden_causes(fleet: Fleet, keys: frozenset[int] | None = None) -> HiddenCauses:
    """Return what was seen on units and what caused it.

    Args:
        fleet: The units and the faults that touch them.
        keys: Only these units; all where it's left out.
    """
    mine = keys if keys is not None else frozenset(fleet.things)
    failures = [one for one in fleet.reports if _is_failure(fleet, one)]
    seen = [one for one in failures if one.seen in mine]
    own = [one for one in failures if one.counts and one.cause in mine]
    hidden = tuple(_hidden(fleet, one) for one in seen if one.cause not in mine)
    quarters = tuple(_quarters(fleet, seen, own))
    return HiddenCauses(len(seen), hidden, len(own), quarters, _hidden_words(seen, hidden, own))


def whereabouts(fleet: Fleet, keys: frozenset[int] | None = None) -> Whereabouts:
    """Return whether failures follow the unit or stay with the place.

    A failure that was seen on another thing stands at that thing, which has a place of its own:
    two leads that failed at one converter have that converter in common.

    Args:
        fleet: The units and the faults that touch them.
        keys: Only these units; all where it's left out.
    """
    mine = keys if keys is not None else frozenset(fleet.things)
    failures = [one for one in fleet.reports if one.counts and one.cause in mine]
    at = {one.number: _where(fleet, one) for one in failures}
    units = Counter(one.cause for one in failures)
    places = Counter(at.values())
    exposed = [fleet.things[key] for key in sorted(mine) if fleet.things[key].unit_days]
    p = None
    if len(failures) >= ENOUGH and len(exposed) >= _TWO:
        counts = [one.failures for one in exposed]
        p = spread.over_units(counts, [one.unit_days for one in exposed]).p
    found = Whereabouts(
        units=tuple(
            Pile(
                fleet.things[key].name,
                count,
                fleet.things[key].unit_days,
                len({at[one.number] for one in failures if one.cause == key}),
            )
            for key, count in sorted(units.items(), key=lambda pair: (-pair[1], pair[0] or 0))
            if key is not None
        ),
        places=tuple(
            Pile(name, count, None, len({f.cause for f in failures if at[f.number] == name}))
            for name, count in sorted(places.items(), key=lambda pair: (-pair[1], pair[0]))
        ),
        units_p=p,
        words="",
    )
    return Whereabouts(
        found.units, found.places, p, _where_words(found, len(failures), len(exposed))
    )


def _is_failure(fleet: Fleet, report: Report) -> bool:
    """Return whether a fault is a failure of something, a second report of one counted too."""
    if report.counts:
        return True
    return any(
        one.counts and one.cause == report.cause and one.day == report.day
        for one in fleet.reports
        if one.kind == report.kind
    )


def _hidden(fleet: Fleet, one: Report) -> Hidden:
    seen = fleet.names.get(one.seen or 0, "")
    cause = fleet.names.get(one.cause or 0, "")
    return Hidden(
        one.number, one.day, seen, cause, fleet.classes.get(one.cause or 0, ""), one.text
    )


def _hidden_words(seen: Sequence[Report], hidden: Sequence[Hidden], own: Sequence[Report]) -> str:
    if not seen:
        return "No failure was seen on them."
    if not hidden:
        return f"{_failures(len(seen))} seen on them, none of them caused by another thing."
    kinds = Counter(one.cause_class or "thing without a class" for one in hidden)
    by = ", ".join(f"{count} by a {kind}" for kind, count in sorted(kinds.items()))
    return (
        f"{len(hidden)} of the {len(seen)} failures seen on them were caused by another thing "
        f"({by}); {len(own)} are their own."
    )


def _quarters(fleet: Fleet, seen: Sequence[Report], own: Sequence[Report]) -> list[Quarter]:
    found = []
    first = fleet.window.since
    while first < fleet.window.until:
        after = _months_on(first, _QUARTER)
        counts = (sum(1 for one in each if first <= one.day < after) for each in (seen, own))
        found.append(Quarter(first, *counts))
        first = after
    return found


def _months_on(day: date, months: int) -> date:
    years, month = divmod(day.month - 1 + months, 12)
    return date(day.year + years, month + 1, min(day.day, 28))


def _where(fleet: Fleet, one: Report) -> str:
    if one.seen is not None and one.seen != one.cause:
        return f"seen on {fleet.names.get(one.seen, '')}"
    return one.place or "place not known"


def _where_words(found: Whereabouts, failures: int, units: int) -> str:
    if failures < ENOUGH or found.units_p is None:
        return f"{_failures(failures)} on {units} units: too few to tell the unit from the place."
    told = f"{_failures(failures)} on {units} units, p {found.units_p:.3f} by chance alone"
    if found.units_p < SIGNIFICANT:
        return f"They pile up on {found.units[0].name} ({told}): the fault follows the unit."
    top = found.places[0]
    if top.others >= _TWO:
        return (
            f"They are spread over the units as chance would ({told}). {top.failures} were at "
            f"'{top.name}', on {top.others} different units: look at the place, or at the model."
        )
    return f"They are spread over the units as chance would ({told}): look at the model."


def _failures(count: int) -> str:
    return f"{count} failure{'' if count == 1 else 's'}"
