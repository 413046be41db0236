"""Whether to mend what is owned or to buy another: yearly costs with what both kinds fail."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from kb.gear import lookup
from kb.records.settings import Settings
from kb.review import fleet as fleets
from kb.review import spending
from kb.review.fleet import Fleet
from kb.review.methods import money, rates, shrinkage
from kb.review.methods.money import EconomicLife

INTEREST = 0.05


@dataclass(frozen=True)
class Replacing:
    """Going on with a unit against buying a new one, in minor units a year.

    Attributes:
        old: Equivalent annual cost of mending it and going on.
        new: Of the new one, at its best life.
        life: The new one's cost by how long it's kept.
        mend: Going on is at most as dear.
        words: The same as a sentence, with what it rests on.
    """

    old: float
    new: float
    life: EconomicLife
    mend: bool
    words: str


@dataclass(frozen=True)
class Old:
    """The unit that is owned.

    Attributes:
        worth: What it would fetch now, never what it once cost.
        repair: What mending it costs.
        failures: A year, to be expected.
        years: For how many it would go on, one at least.
    """

    worth: float
    repair: float
    failures: float
    years: int


@dataclass(frozen=True)
class New:
    """What would take its place.

    Attributes:
        price: What it costs.
        failures: A year, to be expected.
        years: For how many it's kept at most, one at least.
    """

    price: float
    failures: float
    years: int


def replacing(
    old: Old, new: New, *, cost_of_failure: float, interest: float = INTEREST
) -> Replacing:
    """Return whether a unit is mended or replaced, without resale at the end.

    Args:
        old: The unit that is owned.
        new: What would take its place.
        cost_of_failure: Of one failure, minutes lost included.
        interest: A year, 0.05 for 5 %.

    Raises:
        InvalidError: No year, or interest below zero.
    """
    yearly = old.failures * cost_of_failure
    years = old.years
    going_on = money.annual_costs(old.worth + old.repair, [0] * years, [yearly] * years, interest)[
        -1
    ]
    costs = [new.failures * cost_of_failure] * new.years
    found = money.economic_life(new.price, [0] * new.years, costs, interest)
    mend = going_on <= found.least
    words = (
        f"{'Mend it' if mend else 'Replace it'}: {going_on / 100:,.2f} a year for {years} more "
        f"years against {found.least / 100:,.2f} a year for a new one kept {found.best} years, at "
        f"{rates.percent(interest)} interest; {old.failures:.2f} failures a year against "
        f"{new.failures:.2f}, each costing {cost_of_failure / 100:,.2f}."
    )
    return Replacing(going_on, found.least, found, mend, words)


@dataclass(frozen=True)
class Plan:
    """What a person says of mending and buying, in minor units.

    Attributes:
        worth: What the old one would fetch now.
        repair: What mending it costs.
        years: For how many it would go on.
        price: What the new one costs.
        life: For how many years it's kept at most.
        interest: A year, 0.05 for 5 %.
    """

    worth: float
    repair: float
    years: int
    price: float
    life: int
    interest: float


def weigh(
    session: Session, settings: Settings, now: datetime, typed: str, model: str, plan: Plan
) -> Replacing:
    """Return whether an item is mended or another model bought, by what both kinds fail.

    The rates are the models' means of Jeffreys' posterior, never zero; a failure costs what one
    of either cost so far on average.

    Args:
        session: The unit of work.
        settings: The workspace's zone, the day its log began and the room's rate.
        now: The time now.
        typed: The item's code or name.
        model: The model to buy, one that is owned.
        plan: What was said of mending and buying.

    Raises:
        InvalidError: No year, interest below zero, or one of the models was never exposed.
        NotFoundError: The item is unknown, or no unit is of that model.
    """
    found = fleets.fetch(session, settings, now)
    item = lookup.item(session, typed)
    old = fleets.keys_of(found, found.things[item.key].model if item.key in found.things else "?")
    new = fleets.keys_of(found, model)
    rows = spending.spending(session, found, minute_cost=settings.minute_cost)
    models = {found.things[key].model for key in old | new}
    paid = [one for one in rows if one.model in models]
    failures = sum(one.failures for one in paid)
    cost = sum(one.minutes_minor + one.repairs_minor for one in paid) / failures if failures else 0
    return replacing(
        Old(plan.worth, plan.repair, _yearly(found, old), plan.years),
        New(plan.price, _yearly(found, new), plan.life),
        cost_of_failure=cost,
        interest=plan.interest,
    )


def _yearly(fleet: Fleet, keys: frozenset[int]) -> float:
    mine = [fleet.things[key] for key in keys]
    years = sum(one.unit_days for one in mine) / rates.DAYS_A_YEAR
    failures = sum(one.failures for one in mine)
    return shrinkage.posterior(failures, years, shrinkage.Gamma(0.5, 0.0)).mean
