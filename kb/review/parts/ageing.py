"""What age does: the trend of what is repaired, the life of what is replaced."""

import itertools
from collections.abc import Mapping
from dataclasses import replace
from math import log

from kb.errors import InvalidError
from kb.review.facts import Facts
from kb.review.methods import choice, cumulative, definitions, powerlaw, survival, trend, weibull
from kb.review.methods.choice import Figure, Plan
from kb.review.methods.cumulative import Curve
from kb.review.methods.survival import Lives, Survival
from kb.review.paper import (
    Chart,
    Column,
    Interval,
    Part,
    Steps,
    Table,
    Value,
    counted,
    limits,
    shown,
)
from kb.review.parts import often

_FEW_AT_RISK = 5
_PROFILE_BELOW = 10


def with_age(facts: Facts) -> Part:
    """Return what age does to the units, by the method that suits them."""
    chosen = often.plan(facts)
    if facts.repaired:
        return _repaired(facts, chosen)
    return _replaced(facts, chosen)


def lives(facts: Facts) -> Lives:
    """Return the units' lives: failed at their first failure, else censored; entering late."""
    failed: list[float] = []
    going: list[float] = []
    failed_from: list[float] = []
    going_from: list[float] = []
    for ages, start, end in zip(*often.spans(facts.units), strict=True):
        if ages:
            failed.append(ages[0])
            failed_from.append(start)
        else:
            going.append(end)
            going_from.append(start)
    return Lives(failed, going, failed_from, going_from)


def first_failures(facts: Facts) -> int:
    """Return how many units have failed at all."""
    return sum(1 for unit in facts.units if unit.failures)


def compared(facts: Facts, other: Facts) -> str:
    """Return the comparison of two groups' curves as a sentence, or why none is made."""
    both = replace(facts, units=(*facts.units, *other.units))
    wanted = Figure.CURVES_TEST if facts.repaired else Figure.LOG_RANK
    reason = often.plan(both, groups=2).why_not(wanted)
    if reason:
        return "" if not both.failures else f"No {wanted.value}: {reason}."
    try:
        if facts.repaired:
            one, two = often.spans(facts.units), often.spans(other.units)
            found = cumulative.compare(
                one[0], one[2], two[0], two[2], starts=one[1], other_starts=two[1]
            )
            return f"Mean cumulative functions compared: p {shown(found.p, 'p')}."
        tested = survival.log_rank(lives(facts), lives(other))
    except InvalidError:
        return f"No {wanted.value}: they reach no age in common."
    return f"Log-rank test over ages that both reached: p {shown(tested.p, 'p')}."


def _repaired(facts: Facts, chosen: Plan) -> Part:
    title = "Is it getting worse"
    if Figure.TREND not in chosen.shown:
        reason = chosen.why_not(Figure.TREND)
        return Part("trend", title, (f"No verdict: {reason}.",))
    events, starts, ends = often.spans(facts.units)
    laplace = trend.laplace(events, ends, starts=starts)
    handbook = trend.military_handbook(events, ends, starts=starts)
    said = [_trend_in_words(facts, laplace, handbook)]
    if Figure.POWER_LAW in chosen.shown:
        said.append(_law_in_words(facts, events, starts, ends))
    table = _quarters(facts)
    bars = tuple(
        Interval(f"{row[0]} on", *(each if isinstance(each, float) else 0.0 for each in row[4:7]))
        for row in table.rows
    )
    chart = Chart("failures per unit and year, by quarters, with limits", intervals=bars)
    line = definitions.line(Figure.TREND, often.basis(facts), _others(chosen))
    return Part("trend", title, tuple(said), table, chart, line)


def curves(groups: Mapping[str, Facts]) -> Part:
    """Return the curves of groups over their age, each where its data carry one.

    Args:
        groups: Name -> the facts about its units, all repaired or all replaced.
    """
    exposed = {name: one for name, one in groups.items() if one.unit_days}
    repaired = all(one.repaired for one in exposed.values())
    wanted = Figure.CUMULATIVE if repaired else Figure.SURVIVAL
    title = "Failures a unit has had by its age" if repaired else "How many last to which age"
    steps: list[Steps] = []
    rows: list[tuple[Value, ...]] = []
    said: list[str] = []
    for name, one in exposed.items():
        reason = often.plan(one).why_not(wanted)
        if reason:
            said.append(f"No curve of {name}: {reason}.")
            continue
        drawn, at_risk = _curve(one, name)
        steps.append(drawn)
        points = zip(drawn.x, at_risk, drawn.y, drawn.low, drawn.high, strict=False)
        rows += [(name, *point) for point in points]
    if not steps:
        return Part("curves", title, tuple(said or ["No unit was exposed in this window."]))
    form, axis = (
        ("ratio", "failures a unit has had") if repaired else ("share", "share that lasts")
    )
    columns = (
        Column("Which"),
        Column("Days in service", "count"),
        Column("At risk", "count"),
        Column("Failures a unit" if repaired else "Last on", form),
        Column("Low", form),
        Column("High", form),
    )
    chart = Chart(axis, steps=tuple(steps), across="days in service")
    line = f"{wanted.value.capitalize()}: {definitions.TEXTS[wanted]}."
    if repaired:
        line += f" Cut where fewer than {_FEW_AT_RISK} units (or all there are) remain at risk."
    return Part("curves", title, tuple(said), Table(columns, tuple(rows)), chart, line)


def _curve(facts: Facts, name: str) -> tuple[Steps, tuple[int, ...]]:
    events, starts, ends = often.spans(facts.units)
    level = facts.frame.confidence
    if facts.repaired:
        found = cumulative.curve(events, ends, starts=starts, confidence=level)
        return _steps_of(found, name, min(starts)), tuple(found.at_risk)
    lasting = survival.kaplan_meier(lives(facts), confidence=level)
    return _survival_steps(lasting, name, min(starts)), tuple(lasting.at_risk)


def _others(chosen: Plan) -> list[choice.NotShown]:
    wanted = (Figure.WEIBULL, Figure.SURVIVAL, Figure.CUMULATIVE, Figure.MEAN_TIME)
    return [one for one in chosen.not_shown if one.figure in wanted]


def _trend_in_words(facts: Facts, laplace: trend.Normal, handbook: trend.ChiSquare) -> str:
    level = 1 - facts.frame.confidence
    n = counted(laplace.events, "failure")
    tests = (
        f"Laplace {shown(laplace.statistic, 'ratio')}, p {shown(laplace.p, 'p')}; MIL-HDBK-189 "
        f"p {shown(handbook.p, 'p')}; {n}"
    )
    # Two tests are looked at, so the smaller p is doubled.
    if min(1.0, 2 * min(laplace.p, handbook.p)) > level:
        return f"No trend seen ({tests}); that doesn't prove a constant rate."
    return f"{'Getting worse' if laplace.statistic > 0 else 'Getting better'} ({tests})."


def _law_in_words(
    facts: Facts, events: list[list[float]], starts: list[float], ends: list[float]
) -> str:
    moved = [[age - start for age in one] for one, start in zip(events, starts, strict=True)]
    lengths = [end - start for start, end in zip(starts, ends, strict=True)]
    law = powerlaw.fit(moved, lengths, confidence=facts.frame.confidence)
    late = any(starts)
    since = "since each unit was first watched" if late else "since each unit's first day"
    fits = "fits" if law.fit_p > 1 - facts.frame.confidence else "fits badly"
    return (
        f"Power law of the time {since}: beta {shown(law.beta_conditional, 'ratio')} "
        f"({limits(law.low, law.high, 'ratio')}; {counted(law.failures, 'failure')}), above 1 is "
        f"worsening; it {fits} (p {shown(law.fit_p, 'p')})."
    )


def _quarters(facts: Facts) -> Table:
    """Return failures and rate by quarters of the window, counted from its first day."""
    window = facts.frame.window
    rows = []
    edges = [window.since]
    while edges[-1] < window.until:
        month = edges[-1].month + 2
        edges.append(edges[-1].replace(year=edges[-1].year + month // 12, month=month % 12 + 1))
    for since, until in itertools.pairwise(edges):
        end = min(until, window.until)
        days = sum(
            max(0, (min(each.until, end) - max(each.since, since)).days)
            for unit in facts.units
            for each in unit.exposure.intervals
        )
        failures = sum(
            since <= day < end for unit in facts.units for day in unit.exposure.failures
        )
        rows.append((since, end, *often.rate_of(failures, days, facts.frame.confidence)))
    columns = (Column("From", "day"), Column("Until", "day"), *often.RATE[1:])
    return Table(columns, tuple(rows))


def _steps_of(curve: Curve, name: str, start: float) -> Steps:
    """Return a curve for the chart, cut where too few units remain at risk."""
    enough = min(_FEW_AT_RISK, curve.units)
    kept = sum(1 for one in curve.at_risk if one >= enough) or len(curve.ages)
    return Steps(
        name,
        curve.ages[:kept],
        curve.mean[:kept],
        curve.low[:kept],
        curve.high[:kept],
        start,
    )


def _replaced(facts: Facts, chosen: Plan) -> Part:
    title = "How long they last"
    if Figure.SURVIVAL not in chosen.shown:
        return Part("life", title, (f"No curve: {chosen.why_not(Figure.SURVIVAL)}.",))
    found = survival.kaplan_meier(lives(facts), confidence=facts.frame.confidence)
    units = counted(found.units, "unit")
    last = f"{shown(found.survival[-1], 'share')} of {units} last beyond day {found.ages[-1]:,.0f}"
    said = [f"{last} ({limits(found.low[-1], found.high[-1], 'share')})."]
    later = facts.failures - first_failures(facts)
    if later:
        said.append(
            f"A life ends here with the first failure; {counted(later, 'later one')} of units "
            "that went on count in the rate alone."
        )
    if found.median is not None:
        low, high = found.median_limits
        said.append(
            f"Half are gone by day {found.median:,.0f} ({limits(low, high, 'count')}; {units})."
        )
    if Figure.WEIBULL in chosen.shown:
        said.append(_weibull_in_words(facts))
    return Part(
        "life",
        title,
        tuple(said),
        line=definitions.line(Figure.SURVIVAL, often.basis(facts), _others(chosen)),
    )


def _survival_steps(found: Survival, name: str, start: float) -> Steps:
    return Steps(name, found.ages, found.survival, found.low, found.high, start, 1.0)


def _weibull_in_words(facts: Facts) -> str:
    try:
        law = weibull.fit(lives(facts), confidence=facts.frame.confidence)
    except InvalidError as error:
        return f"No Weibull law: {error.problems[0].message}"
    few = law.failures < _PROFILE_BELOW
    low, high = (law.profile_low, law.profile_high) if few else (law.shape_low, law.shape_high)
    kind = "by profile likelihood" if few else "log-normal"
    word = "wear" if log(low) > 0 else "early failure" if log(high) < 0 else "neither is told"
    return (
        f"Weibull law: shape {shown(law.shape, 'ratio')} ({limits(low, high, 'ratio')} {kind}; "
        f"{counted(law.failures, 'failure')} of {law.units}), above 1 is wear, below 1 early "
        f"failure: {word}. Characteristic life {law.scale:,.0f} days "
        f"({limits(law.scale_low, law.scale_high, 'count')})."
    )
