"""What failures cost, and how many spares to keep."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, col, select

from kb.errors import InvalidError, Problem
from kb.records.tables.use import Service
from kb.review.fleet import Fleet, Thing
from kb.review.methods import money, pareto, rates, spares
from kb.review.methods.pareto import Bar
from kb.review.methods.rates import Rate
from kb.review.methods.spares import Stock

SERVICE_LEVEL = 0.95
LEAD_DAYS = 14
RANKS = ("rate", "cost", "minutes")


@dataclass(frozen=True)
class Spending:
    """What one model's failures cost, in minor units of the currency.

    Attributes:
        model: Maker and name.
        failures: How many count.
        unit_days: For how long its units were exposed.
        rate: Failures a unit and year, exact 90 % limits; None without exposure.
        minutes: Lost by them.
        minutes_minor: These at the room's rate.
        repairs_minor: What services that answered them cost.
        per_failure_minor: Both over the failures; None without a failure.
        per_unit_year_minor: Both over the unit-years; None without exposure.
        price_unit_year_minor: Prices over the years in service so far; None without a price.
        stock: Spares for the units in use; None where none is in use or nothing was exposed.
        words: What it comes to.
    """

    model: str
    failures: int
    unit_days: int
    rate: Rate | None
    minutes: int
    minutes_minor: int
    repairs_minor: int
    per_failure_minor: int | None
    per_unit_year_minor: int | None
    price_unit_year_minor: int | None
    stock: Stock | None
    words: str


def spending(
    session: Session,
    fleet: Fleet,
    *,
    minute_cost: int,
    lead_days: float = LEAD_DAYS,
    service: float = SERVICE_LEVEL,
) -> tuple[Spending, ...]:
    """Return what each model's failures cost, the dearest a unit and year first.

    Args:
        session: The unit of work.
        fleet: The units and the faults that touch them.
        minute_cost: What one lost minute costs, in minor units.
        lead_days: Until a spare that was used is replaced.
        service: The chance wanted that the spares are enough.

    Raises:
        InvalidError: No time to replace, or a service level that isn't between 0 and 1.
    """
    repairs = _repairs(session)
    groups: dict[str, list[Thing]] = {}
    for thing in fleet.things.values():
        groups.setdefault(thing.model, []).append(thing)
    told = [
        _told(fleet, name, mine, repairs, minute_cost, lead_days, service)
        for name, mine in groups.items()
    ]
    return tuple(sorted(told, key=lambda one: (-(one.per_unit_year_minor or 0), one.model)))


def ranked(rows: Sequence[Spending], by: str) -> tuple[Bar, ...]:
    """Return models by what they come to, with their running share.

    Args:
        rows: What each comes to.
        by: 'rate' (failures a unit and year), 'cost' (a unit and year) or 'minutes' lost.

    Raises:
        InvalidError: It's none of these.
    """
    if by not in RANKS:
        raise InvalidError([Problem("by", f"'{by}' is none of {', '.join(RANKS)}. Give one.")])
    return pareto.ranked({one.model: _value(one, by) for one in rows if one.rate})


def _value(one: Spending, by: str) -> float:
    if by == "rate":
        return one.rate.rate if one.rate else 0.0
    return float(one.minutes if by == "minutes" else one.per_unit_year_minor or 0)


def _repairs(session: Session) -> dict[int, int]:
    """Return fault -> what the services that answered it cost."""
    found: dict[int, int] = {}
    rows = session.execute(
        select(Service.fault_id, Service.cost_minor).where(
            col(Service.fault_id).is_not(None), col(Service.cost_minor).is_not(None)
        )
    )
    for fault, cost in rows:
        found[fault] = found.get(fault, 0) + cost
    return found


def _told(  # noqa: PLR0913, PLR0917 - a model and what it is told with
    fleet: Fleet,
    name: str,
    mine: Sequence[Thing],
    repairs: Mapping[int, int],
    minute_cost: int,
    lead_days: float,
    service: float,
) -> Spending:
    keys = {one.key for one in mine}
    counted = [one for one in fleet.reports if one.counts and one.cause in keys]
    days = sum(one.unit_days for one in mine)
    minutes = sum(one.minutes for one in counted)
    work = sum(repairs.get(one.number, 0) for one in counted)
    total = minutes * minute_cost + work
    in_use = sum(1 for one in mine if one.in_use)
    failures = sum(one.failures for one in mine)
    stock = None
    if days and in_use:
        stock = spares.stock(failures, days, in_use * lead_days, service=service)
    return Spending(
        model=name,
        failures=failures,
        unit_days=days,
        rate=rates.yearly_rate(failures, days) if days else None,
        minutes=minutes,
        minutes_minor=minutes * minute_cost,
        repairs_minor=work,
        per_failure_minor=round(total / len(counted)) if counted else None,
        per_unit_year_minor=round(total / days * rates.DAYS_A_YEAR) if days else None,
        price_unit_year_minor=_price_a_year(mine, fleet.window.until),
        stock=stock,
        words=_words(stock, in_use, lead_days),
    )


def _price_a_year(mine: Sequence[Thing], until: date) -> int | None:
    known = [one for one in mine if one.price_minor is not None and one.in_service is not None]
    years = 0.0
    for one in known:
        ends = [span.until for span in one.exposure.intervals] if one.exposure else []
        last = max(ends, default=until)
        if one.in_service is not None:
            years += max(0, (last - one.in_service).days) / rates.DAYS_A_YEAR
    if not years:
        return None
    return round(money.price_per_unit_year(sum(one.price_minor or 0 for one in known), years))


def _words(stock: Stock | None, in_use: int, lead_days: float) -> str:
    if stock is None:
        return "None is in use: no spares needed."
    seen = f"{stock.failures} failure{'' if stock.failures == 1 else 's'}"
    return (
        f"Keep {stock.predictive} spare{'' if stock.predictive == 1 else 's'} for {in_use} in "
        f"use, {lead_days:g} days until one is replaced, {rates.percent(stock.service)} service: "
        f"{rates.figure(stock.demand) if stock.demand else 0} failures expected from {seen} in "
        f"{stock.exposure:,.0f} unit-days; {stock.plug_in} if that rate were certain."
    )
