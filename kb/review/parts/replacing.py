"""Mend or replace: what a unit costs if it's kept, against a new one at its best life."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from kb.checking import Amounts, Draft, OptionalMoney
from kb.errors import InvalidError, Problem
from kb.review.facts import Facts
from kb.review.methods import money, rates
from kb.review.methods.money import EconomicLife
from kb.review.methods.rates import DAYS_A_YEAR, yearly_rate
from kb.review.paper import Column, Part, Table, counted, limits, shown
from kb.review.parts import costs
from kb.review.parts.costs import PerFailure

TITLE = "Mend or replace"
_COLUMNS = (
    Column("Kept, years", "count"),
    *(Column(name, "money") for name in ("Old, a year", "Low", "High")),
    *(Column(name, "money") for name in ("New, a year", "Low, new", "High, new")),
)
_LINE = (
    "Equivalent annual cost if it's kept that long: what it's worth now or costs, less what it "
    "fetches then, and the failures expected, interest included; no taxes, no inflation. What was "
    "once paid for the old one doesn't count. Failures at the rate that each model showed here, "
    "with its exact limits; a rate that rises makes the old one dearer than this."
)


class Offer(Draft):
    """What a person says of mending and buying; amounts as typed, in minor units once checked.

    Attributes:
        price: Of the new one; None for the most that was paid for one.
        repair: Of mending the old one, paid now.
        worth: What the old one would fetch now.
        resale: What the new one would fetch after each year; nothing after the last said.
        old_resale: What the old one would.
        years: For how long either is kept at most, at least 1.
        interest: A year, 0.05 for 5 %.
    """

    price: OptionalMoney = None
    repair: OptionalMoney = None
    worth: OptionalMoney = None
    resale: Amounts = ()
    old_resale: Amounts = ()
    years: Annotated[int, Field(ge=1, le=50)] = 5
    interest: Annotated[float, Field(ge=0, le=10)] = 0.0


@dataclass(frozen=True)
class _Owned:
    """What owning one costs, at the rate seen and at its limits."""

    seen: EconomicLife
    low: EconomicLife
    high: EconomicLife


def mend_or_replace(name: str, old: Facts, new: Facts, offer: Offer) -> Part:
    """Return whether a unit is mended or replaced, by what its model and the new one fail.

    Method: equivalent annual cost and economic life (`methods.money`).

    Args:
        name: The unit's.
        old: About all units of its model.
        new: About all units of the model that would be bought.
        offer: What was said of mending and buying.

    Raises:
        InvalidError: No price was said, and none was ever paid.
    """
    if not (old.unit_days and new.unit_days):
        gone = old if not old.unit_days else new
        which = gone.units[0].model if gone.units else "one of the two models"
        word = f"No unit of {which} was exposed in this window, so its failures aren't known."
        return Part("replace", TITLE, (word,))
    price = _price(new, offer)
    found = next((one for one in map(costs.per_failure, (old, new)) if one.cost), None)
    failure = found.cost or 0.0 if found else 0.0
    kept = _owned(old, failure, (offer.worth or 0) + (offer.repair or 0), offer.old_resale, offer)
    bought = _owned(new, failure, price, offer.resale, offer)
    rows = tuple(
        (years + 1, *(one.yearly[years] for one in (kept.seen, kept.low, kept.high)),
         *(one.yearly[years] for one in (bought.seen, bought.low, bought.high)))
        for years in range(offer.years)
    )  # fmt: skip
    said = (
        _verdict(name, kept, bought),
        _least(f"{name} mended", kept, old),
        _least("A new one", bought, new),
        _reckoned(price, found, old, offer),
        *_warranty(name, old),
    )
    return Part("replace", TITLE, said, Table(_COLUMNS, rows), line=_LINE)


def _owned(
    facts: Facts, failure: float, now: int, resale: tuple[int, ...], offer: Offer
) -> _Owned:
    found = yearly_rate(facts.failures, facts.unit_days, confidence=facts.frame.confidence)
    left = [*resale, *[0] * offer.years][: offer.years]

    def life(rate: float) -> EconomicLife:
        return money.economic_life(now, left, [rate * failure] * offer.years, offer.interest)

    return _Owned(life(found.rate), life(found.low), life(found.high))


def _verdict(name: str, kept: _Owned, bought: _Owned) -> str:
    if kept.high.least < bought.low.least:
        return f"Mend {name}: it stays cheaper at every rate within the limits."
    if kept.low.least > bought.high.least:
        return f"Replace {name}: a new one is cheaper at every rate within the limits."
    word = "mending" if kept.seen.least <= bought.seen.least else "a new one"
    return (
        f"The money doesn't decide it: the limits overlap. At the rates seen {word} is cheaper, "
        "so look at what a failure does to a show."
    )


def _least(what: str, owned: _Owned, facts: Facts) -> str:
    best = owned.seen
    flat = (
        f"{best.nearly[0]} to {best.nearly[-1]} years are within {rates.percent(money.NEAR)} of it"
    )
    many = len(best.nearly) > 1
    rate = yearly_rate(facts.failures, facts.unit_days, confidence=facts.frame.confidence)
    return (
        f"{what}: {_money(best.least, facts)} a year at best "
        f"({limits(owned.low.least, owned.high.least, 'money')}), kept "
        f"{counted(best.best, 'year')}{'; ' + flat if many else ''}. Failures of "
        f"{facts.units[0].model}: {shown(rate.rate, 'rate')} a unit and year "
        f"({limits(rate.low, rate.high, 'rate')}; {counted(facts.failures, 'failure')} in "
        f"{facts.unit_days / DAYS_A_YEAR:,.1f} unit-years)."
    )


def _price(new: Facts, offer: Offer) -> int:
    paid = [unit.price for unit in new.units if unit.price is not None]
    if offer.price is None and not paid:
        raise InvalidError([Problem("price", "none of that model is written down. Say one.")])
    return offer.price if offer.price is not None else max(paid)


def _reckoned(price: int, found: PerFailure | None, facts: Facts, offer: Offer) -> str:
    each = [_money(one, facts) for one in (price, offer.repair or 0, offer.worth or 0)]
    failure = "a failure of either costs nothing, as none has cost anything yet"
    if found and found.cost:
        kind = "all from" if found.is_range else "limits"
        failure = (
            f"a failure of either costs {_money(found.cost, facts)} ({kind} "
            f"{limits(found.low, found.high, 'money')}; {counted(found.failures, 'failure')})"
        )
    return (
        f"Reckoned with: the new one costs {each[0]}, mending {each[1]}, the old one would fetch "
        f"{each[2]} now, {failure}, interest {rates.percent(offer.interest)}."
    )


def _warranty(name: str, facts: Facts) -> list[str]:
    today = facts.frame.today
    until = next((one.warranty_until for one in facts.units if one.name == name), None)
    open_still = until is not None and until > today
    return [f"Its warranty is open until {until}: claim before you pay."] if open_still else []


def _money(minor: float, facts: Facts) -> str:
    return f"{shown(minor, 'money')} {facts.frame.currency}"
