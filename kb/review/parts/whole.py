"""Which parts a review has, and in which order they're read."""

from dataclasses import replace

from kb.review.facts import Facts
from kb.review.paper import Part
from kb.review.parts import (
    ageing,
    buying,
    causes,
    costs,
    drives,
    hindsight,
    often,
    places,
    restored,
)
from kb.review.parts.costs import Plans


def of_units(facts: Facts, plans: Plans) -> tuple[Part, ...]:
    """Return all that can be said of one model's units, or of one unit.

    Args:
        facts: About them.
        plans: What the money is reckoned with.
    """
    batches = facts.by(lambda unit: unit.batch or "no batch said")
    parted = len(batches) > 1
    groups = batches if parted else {"all units": facts}
    parts = [often.how_often(facts), often.by_shows(facts), ageing.with_age(facts)]
    parts.append(ageing.curves(groups))
    if parted:
        against = buying.verdicts(batches, buying.judged(batches))
        parts.append(often.side_by_side(facts, batches, "Batch"))
        parts.append(replace(against, key="batch-verdict", title="Batch against batch"))
    parts += [causes.apart(facts), causes.hidden(facts)]
    parts += [causes.where(facts), places.by_place(facts), causes.unit_or_place(facts)]
    parts += [hindsight.services(facts), restored.repeated(facts), restored.restored(facts)]
    parts += [costs.costs(facts, plans), *_speeds(facts)]
    return (*parts, drives.by_age(facts)) if facts.speeds else tuple(parts)


def before_buying(facts: Facts, plans: Plans) -> tuple[Part, ...]:
    """Return what the models of one sort say side by side.

    Args:
        facts: About all its units.
        plans: What the money is reckoned with.
    """
    groups = facts.by(lambda unit: unit.model)
    judged = buying.judged(groups)
    return (
        buying.verdicts(groups, judged),
        often.side_by_side(facts, groups, "Model"),
        often.by_shows(facts, groups),
        ageing.curves(groups),
        buying.never_again(groups, judged),
        buying.money_decides(groups, plans),
        costs.owned(groups),
        buying.stocks(groups, plans),
        buying.bought(facts, groups),
        restored.by_group(groups),
        causes.hidden(facts),
        places.by_place(facts),
        *_speeds(facts),
    )


def of_drives(facts: Facts) -> tuple[Part, ...]:
    """Return how drives slow, and each model's failure rate by age.

    Args:
        facts: About all drives.
    """
    by_model = facts.by(lambda unit: unit.model)
    ages = (named_for(drives.by_age(each), name) for name, each in by_model.items())
    return (*(_speeds(facts) or (drives.speeds(facts),)), *ages)


def named_for(part: Part, name: str) -> Part:
    """Return a part named for its sort or model, where several stand in one review."""
    key = f"{part.key}-{'-'.join(name.casefold().split())}"
    return replace(part, key=key, title=f"{part.title}: {name}")


def _speeds(facts: Facts) -> tuple[Part, ...]:
    return (drives.speeds(facts), drives.tests(facts)) if facts.speeds else ()
