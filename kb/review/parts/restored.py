"""How long it takes to have them back, how often shows found them fit, and what comes back."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from kb.review.facts import Facts, FaultFacts
from kb.review.methods import availability, repeats, restoration
from kb.review.paper import Column, Part, Table, Value, counted, limits, shown

_HOUR = 3600.0
_DAY = 86400.0


def restored(facts: Facts) -> Part:
    """Return times to restoration, and the shows that found the units without an open fault."""
    keys = {unit.key for unit in facts.units}
    mine = [one for one in facts.faults if one.about in keys]
    said = [_times(_restoration(facts)), *_down(facts, mine), *_fit_at_shows(facts, mine)]
    line = (
        "Mean time to restoration (IEC 60050-192): from noticed to working again, waiting "
        "included, over what is restored; open faults are told apart and count in the median. "
        "Down time: as long as a fault about a unit was open, those at one time counted once. "
        "Steady-state availability isn't shown: gear used a few hours a week is judged at show "
        "time."
    )
    return Part("restoration", "Until it works again", tuple(said), line=line)


def by_group(groups: Mapping[str, Facts]) -> Part:
    """Return times to restoration of groups side by side, in hours.

    Args:
        groups: Model -> the facts about its units.
    """
    rows: list[tuple[Value, ...]] = []
    for name, facts in groups.items():
        found = _restoration(facts)
        if found.completed or found.still_open:
            limits_of = (found.mean, found.low, found.high)
            rows.append(
                (name, found.completed, *limits_of, found.median, found.longest, found.still_open)
            )
    columns = (
        Column("Model"),
        Column("Restored", "count"),
        Column("Mean, h", "number"),
        Column("Low", "number"),
        Column("High", "number"),
        Column("Half by, h", "number"),
        Column("Longest, h", "number"),
        Column("Open", "count"),
    )
    line = (
        "Mean time to restoration (IEC 60050-192), hours from noticed to working again, over what "
        "is restored; limits by bootstrap, with fewer than ten the range. Open ones count in the "
        "hours by which half are restored."
    )
    said = () if rows else ("Nothing failed or was restored in this window.",)
    table = Table(columns, tuple(rows)) if rows else None
    return Part("restored", "Until they work again", said, table, line=line)


def _restoration(facts: Facts) -> restoration.Restoration:
    keys = {unit.key for unit in facts.units}
    mine = [one for one in facts.faults if one.about in keys]
    over = [_hours(one, one.restored_at) for one in mine if one.restored_at]
    going = [_hours(one, facts.frame.now) for one in mine if one.restored_at is None]
    return restoration.restoration(over, going, confidence=facts.frame.confidence)


def repeated(facts: Facts) -> Part:
    """Return how often the same came back on the same unit within the window of repeats."""
    groups = _alike(facts)
    end = min(facts.frame.now, _end(facts))
    pairs = [pair for faults in groups.values() for pair in _watched(faults, end)]
    found = repeats.repeat_rate(
        [watched for watched, _ in pairs],
        [back for _, back in pairs],
        float(facts.frame.repeat_days),
        confidence=facts.frame.confidence,
    )
    counts = repeats.recurrence([unit.failures for unit in facts.units])
    spread = (
        f"{counted(counts.failures, 'failure')}: {counts.first} first ones, {counts.repeats} "
        f"repeats on {counted(counts.units_again, 'unit')} of {counts.units}."
    )
    rows = tuple(
        (faults[0].cause_name or faults[0].seen_name, symptom, len(faults), faults[-1].day)
        for (_, symptom), faults in sorted(groups.items(), key=lambda pair: -len(pair[1]))
        if len(faults) > 1
    )
    columns = (Column("Unit"), Column("Symptom"), Column("Times", "count"), Column("Last", "day"))
    line = (
        f"A repeat is a fault with the same entry on the same unit within {found.window:.0f} days "
        "after it was restored (our definition; common practice, no source)."
    )
    table = Table(columns, rows) if rows else None
    return Part("repeats", "What comes back", (_repeats_in_words(found), spread), table, line=line)


def _alike(facts: Facts) -> dict[tuple[int | None, str], list[FaultFacts]]:
    """Return the faults about the units by unit and symptom, the oldest first."""
    keys = {unit.key for unit in facts.units}
    groups: dict[tuple[int | None, str], list[FaultFacts]] = {}
    for one in facts.faults:
        if one.about in keys and one.symptom:
            groups.setdefault((one.about, one.symptom), []).append(one)
    return groups


def _watched(faults: list[FaultFacts], end: datetime) -> list[tuple[float, float | None]]:
    """Return for each restoration how long it was watched, and when the same came back."""
    found = []
    for one, following in zip(faults, [*faults[1:], None], strict=True):
        if one.restored_at and one.restored_at <= end:
            until = (end - one.restored_at).total_seconds() / _DAY
            found.append((until, _after(one.restored_at, following, until)))
    return found


def _repeats_in_words(found: repeats.RepeatRate) -> str:
    window = f"{found.window:.0f} days"
    if found.share is None:
        return f"No restoration has been watched for {window} yet; {found.pending} wait."
    return (
        f"The same came back within {window} after {found.repeats} of "
        f"{counted(found.complete, 'restoration')} whose {window} are over: "
        f"{shown(found.share, 'share')} ({limits(found.low, found.high, 'share')}); "
        f"{found.pending} more are too young."
    )


def _after(restored_at: datetime, following: FaultFacts | None, until: float) -> float | None:
    if following is None:
        return None
    days = max(0.0, (following.noticed_at - restored_at).total_seconds() / _DAY)
    return days if days <= until else None


def _end(facts: Facts) -> datetime:
    return facts.frame.now + timedelta(days=(facts.frame.window.until - facts.frame.today).days)


def _hours(fault: FaultFacts, end: datetime | None) -> float:
    return max(0.0, ((end or fault.noticed_at) - fault.noticed_at).total_seconds() / _HOUR)


def _times(found: restoration.Restoration) -> str:
    still = (
        f"; {found.still_open} still open, the oldest for {_lasting(found.oldest_open)}"
        if found.still_open
        else "; none is open"
    )
    if found.mean is None:
        return f"Nothing was restored in this window{still}."
    kind = "all lie within" if found.is_range else "limits"
    return (
        f"Mean time to restoration {_lasting(found.mean)} ({kind} {_lasting(found.low)} to "
        f"{_lasting(found.high)}; {counted(found.completed, 'restoration')}); half took up to "
        f"{_lasting(found.median)}, the longest {_lasting(found.longest)}{still}."
    )


def _down(facts: Facts, mine: list[FaultFacts]) -> list[str]:
    """Return for how long the units had an open fault, faults at one time counted once."""
    until = min(facts.frame.now, _end(facts))
    if not (mine and facts.unit_days):
        return []
    window = (min(one.noticed_at for one in mine).timestamp(), until.timestamp())
    down = {
        unit.name: availability.down_time(
            [
                (
                    one.noticed_at.timestamp(),
                    max(one.restored_at or until, one.noticed_at).timestamp(),
                )
                for one in mine
                if one.about == unit.key and one.noticed_at < until
            ],
            window,
        )
        / _HOUR
        for unit in facts.units
    }
    worst = max(down, key=lambda name: (down[name], name))
    total = sum(down.values())
    if not total:
        return []
    most = f", most of it {worst} ({_lasting(down[worst])})" if len(down) > 1 else ""
    return [f"Down time: {_lasting(total)} in {facts.unit_days:,} unit-days{most}."]


def _lasting(hours: float | None) -> str:
    if hours is None:
        return "no time known"
    if hours < 1:
        return f"{60 * hours:.0f} min"
    two_days = 48
    return f"{hours:.1f} h" if hours < two_days else f"{hours / 24:.1f} days"


def _fit_at_shows(facts: Facts, mine: list[FaultFacts]) -> list[str]:
    """Return how many unit-shows had no open fault, for units in use on the day."""
    theirs: dict[int | None, list[FaultFacts]] = {}
    for one in mine:
        theirs.setdefault(one.about, []).append(one)
    had = [
        any(_open_at(one, at) for one in theirs.get(unit.key, ()))
        for at, day in facts.shows
        for unit in facts.units
        if any(each.since <= day < each.until for each in unit.exposure.intervals)
    ]
    found = availability.at_shows(had, confidence=facts.frame.confidence)
    if found.share is None:
        return ["No show was held while they were in use."]
    return [
        (
            f"At the start of a show {found.fit:,} of {found.shows:,} times a unit had no open "
            f"fault: "
            f"{100 * found.share:.1f} % ({100 * found.low:.1f} to {100 * found.high:.1f} %)."
        )
    ]


def _open_at(fault: FaultFacts, at: datetime) -> bool:
    return fault.noticed_at <= at and (fault.restored_at is None or fault.restored_at > at)
