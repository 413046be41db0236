"""What to look at first: models by failure rate, minutes lost and cost."""

from kb.review.facts import Facts
from kb.review.methods import pareto
from kb.review.paper import Column, Part, Table, Value
from kb.review.parts import costs, often

WAYS = ("rate", "minutes", "cost", "failures")
_MOST = 15


def pareto_of(groups: dict[str, Facts], way: str) -> Part:
    """Return models from the one to look at first.

    Args:
        groups: Model -> the facts about its units.
        way: One of `WAYS`; by rate the lower limit ranks.
    """
    values = {name: _value(facts, way) for name, facts in groups.items() if facts.unit_days}
    bars = [one for one in pareto.ranked(values) if one.value > 0][:_MOST]
    rows: list[tuple[Value, ...]] = []
    for bar in bars:
        facts = groups[bar.name]
        found = costs.per_failure(facts)
        rate = often.rate_row(facts)
        share = (None, None) if way == "rate" else (bar.share, bar.running)
        total = None if found.cost is None else found.cost * found.failures
        rows.append((bar.name, *rate, _minutes(facts), total, *share))
    columns = (
        Column("Model"),
        *often.RATE,
        Column("Minutes lost", "minutes"),
        Column("Cost", "money"),
        Column("Share", "share"),
        Column("Running", "share"),
    )
    told = {
        "rate": "the lower limit of the failure rate, so that one failure in little time doesn't "
        "lead",
        "minutes": "minutes lost with all faults about them, failures or not",
        "cost": "the cost of failures: repairs, and minutes at the room's rate",
        "failures": "the number of failures; the most numerous model leads such a list",
    }
    said = () if rows else ("Nothing to rank in this window.",)
    line = f"Ranked by {told[way]}. Rate: failures per unit and year of 365.25 days, exact limits."
    return Part("first", "What to look at first", said, Table(columns, tuple(rows)), line=line)


def _value(facts: Facts, way: str) -> float:
    if way == "rate":
        return often.rate_row(facts)[4] or 0.0
    if way == "minutes":
        return float(_minutes(facts))
    if way == "failures":
        return float(facts.failures)
    found = costs.per_failure(facts)
    return (found.cost or 0.0) * found.failures


def _minutes(facts: Facts) -> int:
    keys = {unit.key for unit in facts.units}
    return sum(one.minutes or 0 for one in facts.faults if one.about in keys)
