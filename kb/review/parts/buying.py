"""Before you buy: the models of a sort side by side, a verdict in words, what would settle it."""

from dataclasses import dataclass
from datetime import timedelta
from itertools import permutations

from kb.review.facts import Facts
from kb.review.methods import verdict
from kb.review.methods.choice import FOR_A_VERDICT
from kb.review.methods.rates import DAYS_A_YEAR, yearly_rate
from kb.review.methods.verdict import Group, Verdict
from kb.review.paper import Column, Part, Table, Value, counted, limits, listed, shown
from kb.review.parts import ageing, costs, hindsight
from kb.review.parts.costs import GONE, Plans

_UNLIKE = 180
_LINE = (
    "Ratio of the rates per unit-day, exact conditional limits, central p; where several pairs "
    "are compared p is adjusted by Holm. 'Too early' below five failures in both together; no "
    "evidence either way isn't evidence that they are alike."
)


@dataclass(frozen=True)
class Judged:
    """Two models and what can be said of the first against the second; the first fails more."""

    one: str
    other: str
    verdict: Verdict


def judged(groups: dict[str, Facts]) -> tuple[Judged, ...]:
    """Return a verdict on each pair of models, the one that fails more named first.

    Args:
        groups: Model -> the facts about its units.
    """
    exposed = {name: each for name, each in groups.items() if each.unit_days}
    if not exposed:
        return ()
    pairs = [
        (one, other)
        for one, other in permutations(exposed, 2)
        if (_rate(exposed[one]), other) > (_rate(exposed[other]), one)
    ]
    level = next(iter(exposed.values())).frame.confidence
    found = verdict.judge(
        [(_group(exposed[one]), _group(exposed[other])) for one, other in pairs], confidence=level
    )
    return tuple(Judged(*pair, said) for pair, said in zip(pairs, found, strict=True))


def verdicts(groups: dict[str, Facts], found: tuple[Judged, ...]) -> Part:
    """Return the verdicts in words, with what would settle those that are none.

    Args:
        groups: Model -> the facts about its units.
        found: The verdict on each pair.
    """
    if not found:
        word = "There is only one model with exposure: nothing to compare it with."
        return Part("verdict", "Before you buy", (word,))
    columns = (
        Column("Model"),
        Column("Failures", "count"),
        Column("Against"),
        Column("Against, failures", "count"),
        Column("Verdict"),
        Column("Ratio", "ratio"),
        Column("Low", "ratio"),
        Column("High", "ratio"),
        Column("p", "p"),
    )
    said = tuple(_sentence(one, groups) for one in found)
    table = Table(columns, tuple(_row(one, groups) for one in found))
    return Part("verdict", "Before you buy", said, table, line=_LINE)


def never_again(groups: dict[str, Facts], found: tuple[Judged, ...]) -> Part:
    """Return the models that are clearly worse than another of their sort, with the evidence.

    Args:
        groups: Model -> the facts about its units.
        found: The verdict on each pair.
    """
    against: dict[str, list[str]] = {}
    for pair in found:
        if pair.verdict.word == verdict.WORSE:
            against.setdefault(pair.one, []).append(pair.other)
    said = tuple(_condemned(name, groups[name], worse) for name, worse in against.items())
    empty = "No model here is clearly worse than another."
    return Part("never", "Never again", said or (empty,), line=_LINE)


def money_decides(groups: dict[str, Facts], plans: Plans) -> Part:
    """Return going on against buying for each model still in use and each other one.

    Args:
        groups: Model -> the facts about its units.
        plans: What the money is reckoned with.
    """
    using = [
        name for name, one in groups.items() if any(unit.state not in GONE for unit in one.units)
    ]
    said = [
        costs.go_on_or_buy(groups[old], groups[new], plans)
        for old in using
        for new in using
        if old != new and _rate(groups[old]) > _rate(groups[new])
    ]
    known = tuple(one for one in said if one)
    empty = (
        "Nothing to reckon: of two models in use none has failed more than the other, or no price "
        "is written down."
    )
    return Part("money", "Go on or buy", known or (empty,))


def stocks(groups: dict[str, Facts], plans: Plans) -> Part:
    """Return the spares that each model asks for.

    Args:
        groups: Model -> the facts about its units.
        plans: Lead time and service level.
    """
    rows: list[tuple[Value, ...]] = []
    for name, facts in groups.items():
        found = costs.spare_stock(facts, plans)
        if found is not None:
            using = sum(1 for unit in facts.units if unit.state not in GONE)
            rate = yearly_rate(found.failures, facts.unit_days, confidence=_level(facts))
            ahead = using * plans.lead_days / DAYS_A_YEAR
            demand = (found.demand, rate.low * ahead, rate.high * ahead)
            row = (name, using, found.failures, facts.unit_days, *demand)
            rows.append((*row, found.plug_in, found.predictive))
    columns = (
        Column("Model"),
        Column("In use", "count"),
        Column("Failures", "count"),
        Column("Unit-days", "count"),
        Column("Expected", "ratio"),
        Column("Expected low", "ratio"),
        Column("Expected high", "ratio"),
        Column("At the rate seen", "count"),
        Column("Rate uncertain", "count"),
    )
    line = (
        f"Smallest number of spares that is enough in {100 * plans.service:.10g} % of "
        f"{plans.lead_days}-day spells: Poisson at the rate seen, and negative binomial with the "
        "rate as uncertain as it is (Jeffreys): keep the latter."
    )
    said = () if rows else ("None of them is in use.",)
    return Part("spares", "Spares", said, Table(columns, tuple(rows)) if rows else None, line=line)


def bought(facts: Facts, groups: dict[str, Facts]) -> Part:
    """Return how often the whole sort failed before and after each model was first bought.

    Args:
        facts: About all the units of the sort.
        groups: Model -> the facts about its units.
    """
    window = facts.frame.window
    firsts = sorted(
        (min(unit.in_service for unit in one.units), name) for name, one in groups.items()
    )
    steps = [(day, name) for day, name in firsts if window.since < day < window.until]
    failures = [day for unit in facts.units for day in unit.exposure.failures]
    rows, said = [], []
    for day, name in steps:
        row, word = hindsight.compare(
            facts, day, f"{name} bought", "failures", failures, day_itself_after=True
        )
        said.append(word)
        rows += [row] if row is not None else []
    empty = "No model was first bought inside this window."
    table = Table(hindsight.COLUMNS, tuple(rows), is_said=True) if rows else None
    line = (
        "Failures of the whole sort from a model's first day in service on, over those before, "
        "each per unit-day in use; exact conditional limits and central p. Old units that were "
        "set aside at the same time are a part of what changed."
    )
    return Part("bought", "Before and after buying", tuple(said or [empty]), table, line=line)


def _condemned(name: str, facts: Facts, against: list[str]) -> str:
    gone = sum(1 for unit in facts.units if unit.state in GONE)
    left = f" {gone} of {counted(len(facts.units), 'unit')} are out of use." if gone else ""
    return f"{name}: {_evidence(facts)}, clearly worse than {listed(against)}.{left}"


def _sentence(pair: Judged, groups: dict[str, Facts]) -> str:
    found, first, second = pair.verdict, groups[pair.one], groups[pair.other]
    ratio = shown(found.ratio.ratio, "ratio") or "can't be stated"
    interval = limits(found.ratio.low, found.ratio.high, "ratio")
    told = (
        f"{pair.one} against {pair.other}: {found.word}. {_evidence(first)} against "
        f"{_evidence(second)}; ratio {ratio} ({interval}), p {shown(found.p, 'p')}."
    )
    if found.word in {verdict.NO_EVIDENCE, verdict.TOO_EARLY}:
        told += " " + _settling(found, first, second)
    more = (ageing.compared(first, second), _ages(pair, first, second))
    return " ".join([told, *(one for one in more if one)])


def _ages(pair: Judged, first: Facts, second: Facts) -> str:
    """Return the ages that two models were watched at, where they are unlike."""
    ages = [_mean_age(facts) for facts in (first, second)]
    if max(ages) - min(ages) < _UNLIKE or max(ages) < 2 * min(ages):
        return ""
    young, old = (pair.one, pair.other) if ages[0] < ages[1] else (pair.other, pair.one)
    return (
        f"They were watched at unlike ages: {young} {_years_old(min(ages))} in service on "
        f"average, {old} {_years_old(max(ages))}; what comes with age, and what comes early, "
        "isn't told apart from the model."
    )


def _mean_age(facts: Facts) -> float:
    """Return the mean age over all unit-days watched, in days."""
    total = sum(
        (each.until - each.since).days
        * ((each.since - unit.in_service).days + (each.until - unit.in_service).days)
        / 2
        for unit in facts.units
        for each in unit.exposure.intervals
    )
    return total / facts.unit_days


def _years_old(days: float) -> str:
    return f"{days / DAYS_A_YEAR:.1f} years"


def _settling(found: Verdict, facts: Facts, other: Facts) -> str:
    ends = " and ".join(
        "not within ten years" if each is None else f"{each} days"
        for each in (found.soonest, found.latest)
    )
    limit = f"at the limits of the rates between {ends}"
    if found.settled_in is None:
        word = "Going on as it did wouldn't settle it within ten years; it needs more units"
        return f"{word} ({limit}).{_missing(facts, other)}"
    day = facts.frame.today + timedelta(days=found.settled_in)
    more = found.settled_in * (_group(facts).going_on + _group(other).going_on)
    told = f"about {found.settled_in} days more settle it, by {day}: {more:,} unit-days"
    return f"If both go on as they did, {told} ({limit}).{_missing(facts, other)}"


def _missing(facts: Facts, other: Facts) -> str:
    """Return how many failures a verdict needs at least."""
    lacking = FOR_A_VERDICT - facts.failures - other.failures
    if lacking <= 0:
        return ""
    return f" Before {counted(lacking, 'more failure')} of either no verdict is given."


def _row(pair: Judged, groups: dict[str, Facts]) -> tuple[Value, ...]:
    ratio = pair.verdict.ratio
    high = float("inf") if ratio.high is None else ratio.high
    figures = (ratio.ratio, ratio.low, high, pair.verdict.p)
    one, other = groups[pair.one].failures, groups[pair.other].failures
    return pair.one, one, pair.other, other, pair.verdict.word, *figures


def _evidence(facts: Facts) -> str:
    found = yearly_rate(facts.failures, facts.unit_days, confidence=facts.frame.confidence)
    return (
        f"{counted(facts.failures, 'failure')} in {facts.unit_days:,} unit-days "
        f"({shown(found.rate, 'rate')} a unit and year, {limits(found.low, found.high, 'rate')})"
    )


def _group(facts: Facts) -> Group:
    using = sum(1 for unit in facts.units if unit.state not in GONE)
    return Group(facts.failures, facts.unit_days, using)


def _level(facts: Facts) -> float:
    return facts.frame.confidence


def _rate(facts: Facts) -> float:
    return facts.failures / facts.unit_days if facts.unit_days else 0.0
