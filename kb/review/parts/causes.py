"""What it was: causes apart, causes that hid behind another unit, unit or place."""

from collections import Counter
from itertools import pairwise

from kb.records.kinds import CauseKind
from kb.review.facts import Facts, FaultFacts
from kb.review.methods import proportions
from kb.review.paper import Column, Part, Table, counted, limits, listed, shown

UNDECIDED = "not said yet"
_FOR_A_WORD = 3


def apart(facts: Facts) -> Part:
    """Return the faults about the units by the kind of their cause; what is no failure, too."""
    keys = {unit.key for unit in facts.units}
    mine = [one for one in facts.faults if one.about in keys]
    kinds = Counter(one.kind or UNDECIDED for one in mine)
    minutes = Counter[str]()
    for one in mine:
        minutes[one.kind or UNDECIDED] += one.minutes or 0
    order = [*(kind.value for kind in CauseKind), UNDECIDED]
    rows = [(kind, kinds[kind], minutes[kind]) for kind in order if kinds[kind]]
    columns = (Column("Cause"), Column("Faults", "count"), Column("Minutes lost", "minutes"))
    said = [_summary(facts, mine)] if mine else ["No fault was about them in this window."]
    said += _not_found(mine, facts)
    table = Table(columns, tuple(rows)) if rows else None
    line = (
        "A failure is a fault whose cause kind is own failure, wrong setting as delivered or "
        "unknown, counted once an item and day on the item to blame."
    )
    return Part("causes", "What it was", tuple(said), table, line=line)


def hidden(facts: Facts) -> Part:
    """Return faults whose cause was another unit than the one they were seen on."""
    keys = {unit.key for unit in facts.units}
    away = [one for one in facts.faults if one.cause is not None and one.seen != one.cause]
    from_others = [one for one in away if one.seen in keys and one.cause not in keys]
    on_others = [one for one in away if one.cause in keys and one.seen not in keys]
    said = []
    if from_others:
        seen = sum(1 for one in facts.faults if one.seen in keys)
        classes = sorted({one.cause_class or "no class" for one in from_others})
        said.append(
            f"{len(from_others)} of {counted(seen, 'fault')} seen on them were caused by another "
            f"item ({listed(classes)}): they are no failures of these units."
        )
    if on_others:
        classes = sorted({one.seen_class or "no class" for one in on_others})
        said.append(
            f"{counted(len(on_others), 'fault')} of theirs showed on something else "
            f"({listed(classes)}): reports alone would blame that."
        )
    columns = (
        Column("Fault", "count"),
        Column("Day", "day"),
        Column("Seen on"),
        Column("Caused by"),
        Column("Symptom"),
    )
    rows = [
        (one.number, one.day, one.seen_name, one.cause_name, one.symptom)
        for one in (*from_others, *on_others)
    ]
    table = Table(columns, tuple(rows)) if rows else None
    return Part(
        "hidden", "Seen here, caused there", tuple(said or ["None in this window."]), table
    )


def where(facts: Facts) -> Part:
    """Return where the units' failures were seen: at which place, or on which other thing."""
    keys = {unit.key for unit in facts.units}
    failed = [one for one in facts.faults if one.cause in keys and one.is_failure]
    at: dict[str, list[FaultFacts]] = {}
    for one in failed:
        other = one.seen is not None and one.seen != one.cause
        name = f"seen on {one.seen_name}" if other else one.place_name or "place not known"
        at.setdefault(name, []).append(one)
    ranked = sorted(at.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    rows = tuple(
        (name, len(mine), len({one.cause for one in mine}), mine[-1].day) for name, mine in ranked
    )
    if not rows:
        return Part("where", "Where", ("No failure of theirs in this window.",))
    name, most, units, _ = rows[0]
    said = f"{most} of {counted(len(failed), 'failure')} at '{name}', on {counted(units, 'unit')}"
    if len(rows) == 1:
        said += ", the only place of all: that tells nothing of it"
    elif units > 1:
        said += ": look at what stands there before you blame the units"
    columns = (
        Column("Where"),
        Column("Failures", "count"),
        Column("Units", "count"),
        Column("Last", "day"),
    )
    line = (
        "Failures as they were reported, a second one of the same day too. One that showed on "
        "another thing stands at that thing: two leads that failed at one converter have it in "
        "common."
    )
    return Part("where", "Where", (f"{said}.",), Table(columns, rows), line=line)


def unit_or_place(facts: Facts) -> Part:
    """Return whether a symptom follows the unit or stays with the place.

    Two faults of one symptom that follow each other tell something where the unit has moved,
    or another unit has taken its place.
    """
    told = Counter[str]()
    by_symptom: dict[str, list[FaultFacts]] = {}
    keys = {unit.key for unit in facts.units}
    for one in facts.faults:
        if one.symptom and one.seen in keys and one.cause in (one.seen, None):
            by_symptom.setdefault(one.symptom, []).append(one)
    for faults in by_symptom.values():
        for first, second in pairwise(faults):
            told[_move(facts, first, second)] += 1
    unit, place, both = told["unit"], told["place"], told["both"]
    n = counted(unit + place, "pair")
    if unit + place < _FOR_A_WORD:
        word = (
            f"Too few moves to tell: {n} of like faults in which a unit had moved or another "
            f"had taken its place ({_FOR_A_WORD} are needed); {both} on the same unit at the same "
            "place say nothing of either."
        )
    else:
        low, high = proportions.exact(unit, unit + place, confidence=facts.frame.confidence)
        half = 0.5
        verdict = "follows the unit" if low > half else "stays with the place"
        if low <= half <= high:
            verdict = "can't be told to follow the unit or to stay with the place"
        word = (
            f"The fault {verdict}: {unit} of {n} went with the unit to another place "
            f"({limits(low, high, 'share')}), {place} stayed with the place when the unit changed."
        )
    line = "Pairs of one symptom that follow each other; the exact limits are of the unit's share."
    return Part("follows", "Unit or place", (word,), line=line)


def _move(facts: Facts, first: FaultFacts, second: FaultFacts) -> str:
    """Return what a pair of like faults speaks for.

    Two units side by side at one place say nothing of the place: only a unit that has taken
    the place of the first one does.
    """
    same_unit, same_place = first.seen == second.seen, first.place == second.place
    if same_unit:
        return "both" if same_place else "unit"
    if same_place and facts.lay_at(first.seen, second.noticed_at) != first.place:
        return "place"
    return "neither"


def _summary(facts: Facts, mine: list[FaultFacts]) -> str:
    failures = sum(1 for one in mine if one.is_failure)
    minutes = sum(one.minutes or 0 for one in mine)
    unsaid = sum(1 for one in mine if one.minutes is None)
    more = f"; of {unsaid} nobody said" if unsaid else ""
    stopped = sum(1 for one in mine if one.effect == "show stopped")
    twice = failures - facts.failures
    once = f" ({facts.failures} counted: one an item and day, while in use)" if twice else ""
    solved = [one.minutes for one in mine if one.minutes]
    span = f", {min(solved)} to {max(solved)} each" if solved else ""
    return (
        f"{counted(len(mine), 'fault')} about {counted(len(facts.units), 'unit')}, "
        f"{counted(failures, 'failure')} among them{once}; {minutes:,} minutes lost{span}{more}; "
        f"{stopped or 'no'} show{'' if stopped == 1 else 's'} stopped."
    )


def _not_found(mine: list[FaultFacts], facts: Facts) -> list[str]:
    decided = [one for one in mine if one.kind]
    nothing = sum(1 for one in decided if one.kind == CauseKind.NO_FAULT_FOUND)
    if not nothing:
        return []
    low, high = proportions.exact(nothing, len(decided), confidence=facts.frame.confidence)
    share = shown(nothing / len(decided), "share")
    return [
        (
            f"No fault was found {nothing} times of {len(decided)} ({share}, "
            f"{limits(low, high, 'share')})."
        )
    ]
