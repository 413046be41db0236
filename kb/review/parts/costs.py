"""What it costs: failures, prices, warranty, spares, and whether to go on or to buy."""

from collections.abc import Mapping
from dataclasses import dataclass

from kb.records.kinds import ServiceKind
from kb.review.facts import Facts, FaultFacts, Frame, ServiceFacts, UnitFacts
from kb.review.methods import money, rates, restoration, spares
from kb.review.paper import Column, Part, Table, Value, counted, limits, shown

GONE = frozenset({"retired", "set aside"})


@dataclass(frozen=True)
class Plans:
    """What the money is reckoned with; told beside every figure that rests on it.

    Attributes:
        interest: A year, 0.05 for 5 %.
        years: For how long a new unit is kept; it's worth nothing then.
        lead_days: Until a spare is replaced.
        service: The chance wanted that the spares are enough.
    """

    interest: float = 0.0
    years: int = 5
    lead_days: int = 30
    service: float = 0.95


@dataclass(frozen=True)
class PerFailure:
    """What a failure costs.

    Attributes:
        failures: Over which.
        minutes: Lost with all faults of theirs that are failures.
        lost: What those minutes cost, minor units.
        repairs: Cost of repairs in the window, minor units.
        cost: A failure, minor units; None without a failure.
        low: Lower limit of that mean by bootstrap; with fewer than ten the cheapest one.
        high: Upper limit; with fewer than ten the dearest one.
        is_range: `low` and `high` are the range.
    """

    failures: int
    minutes: int
    lost: int
    repairs: int
    cost: float | None
    low: float | None
    high: float | None
    is_range: bool


def per_failure(facts: Facts) -> PerFailure:
    """Return what a failure of the units costs: repairs booked, and minutes at the room's rate.

    A repair that names its fault is that one's; the others are shared by all.
    """
    keys = {unit.key for unit in facts.units}
    failed = [one for one in facts.faults if one.cause in keys and one.is_failure]
    window, n = facts.frame.window, facts.failures
    repairs = [
        one
        for one in facts.services
        if one.kind == ServiceKind.REPAIR and one.cost and window.since <= one.day < window.until
    ]
    minutes, total = sum(one.minutes or 0 for one in failed), sum(one.cost or 0 for one in repairs)
    lost = sum((one.minutes or 0) * facts.frame.a_minute(one.place) for one in failed)
    if not (n and failed):
        return PerFailure(n, minutes, lost, total, None, None, None, is_range=True)
    each = _each(failed, repairs, facts.frame)
    found = restoration.restoration(each, confidence=facts.frame.confidence)
    # What a second report of the same day cost is a part of the failure's cost.
    scale = len(failed) / n
    low, high = (None if one is None else one * scale for one in (found.low, found.high))
    return PerFailure(n, minutes, lost, total, sum(each) / n, low, high, found.is_range)


def _each(failed: list[FaultFacts], repairs: list[ServiceFacts], frame: Frame) -> list[float]:
    numbers = {one.number for one in failed}
    own = dict.fromkeys(numbers, 0)
    for one in repairs:
        if one.fault in own:
            own[one.fault] += one.cost or 0
    rest = sum(one.cost or 0 for one in repairs) - sum(own.values())
    return [
        money.cost_of_failure(
            own[one.number] + rest / len(failed), 0, one.minutes or 0, frame.a_minute(one.place)
        )
        for one in failed
    ]


def costs(facts: Facts, plans: Plans) -> Part:
    """Return what the units cost: failures, prices, warranty and spares."""
    currency = facts.frame.currency
    found = per_failure(facts)
    said = []
    if found.cost is not None:
        said.append(
            f"A failure costs {_money(found.cost, facts)} "
            f"({'all from' if found.is_range else 'limits'} "
            f"{limits(found.low, found.high, 'money')}): repairs {_money(found.repairs, facts)} "
            f"and {found.minutes:,} minutes lost ({_money(found.lost, facts)}), over "
            f"{counted(found.failures, 'failure')}."
        )
    said += [*_prices(facts), *_warranty(facts), *_spares(facts, plans)]
    rows = tuple(_row(unit, facts) for unit in facts.units)
    columns = (
        Column("Unit"),
        Column("State"),
        Column("In service", "day"),
        Column(f"Price, {currency}", "money"),
        Column("A year", "money"),
        Column("Warranty until", "day"),
    )
    line = (
        "Cost of a failure: repairs booked with a cost, and minutes lost at the room's rate; "
        "parts count where they stand in the repair's cost. Price a unit-year: price over years "
        "in service up to now or to the end of its use. It has no interval: it's what was paid."
    )
    return Part("costs", "What it costs", tuple(said), Table(columns, rows), line=line)


def owned(groups: Mapping[str, Facts]) -> Part:
    """Return what each model cost and costs: price a unit-year, a failure, warranty still open.

    Args:
        groups: Model -> the facts about its units.
    """
    rows: list[tuple[Value, ...]] = []
    said: list[str] = []
    for name, one in groups.items():
        known = _paid(one)
        found = per_failure(one)
        cost = (found.cost, found.low, found.high)
        yearly = (
            sum(price for price, _ in known) / sum(years for _, years in known) if known else None
        )
        rows.append((name, len(known), yearly, found.failures, *cost, len(_open_warranty(one))))
        said += [word for word in _warranty(one) if word.startswith("Warranty")]
    columns = (
        Column("Model"),
        Column("Priced", "count"),
        Column("A unit-year", "money"),
        Column("Failures", "count"),
        Column("A failure", "money"),
        Column("Low", "money"),
        Column("High", "money"),
        Column("In warranty", "count"),
    )
    line = (
        "A unit-year: prices paid over years in service so far; it has no interval, it's what was "
        "paid, and a young model looks dear by it. A failure: repairs booked, and minutes lost at "
        "the room's rate; limits by bootstrap, with fewer than ten failures the range."
    )
    said = said or ["No warranty is known to be open."]
    return Part("owned", "What they cost", tuple(said), Table(columns, tuple(rows)), line=line)


def go_on_or_buy(old: Facts, new: Facts, plans: Plans) -> str:
    """Return whether to go on with one model or to buy another, as a sentence.

    Going on costs a year the failures expected; the old unit is taken to fetch nothing. A new
    one costs its price spread over the years it's kept, and its failures.

    Args:
        old: About the model that is owned.
        new: About the model that would be bought.
        plans: What the money is reckoned with.
    """
    prices = [unit.price for unit in new.units if unit.price is not None]
    costs_of = per_failure(old).cost
    if not prices or costs_of is None or not new.unit_days or not old.unit_days:
        return ""
    price, level = max(prices), old.frame.confidence
    yearly = money.annual_costs(price, [0] * plans.years, [0] * plans.years, plans.interest)[-1]
    going = rates.yearly_rate(old.failures, old.unit_days, confidence=level)
    bought = rates.yearly_rate(new.failures, new.unit_days, confidence=level)
    on = [each * costs_of for each in (going.rate, going.low, going.high)]
    buy = [yearly + each * costs_of for each in (bought.rate, bought.low, bought.high)]
    if on[2] < buy[1]:
        word = "going on is cheaper"
    elif on[1] > buy[2]:
        word = "buying is cheaper"
    else:
        word = "the intervals overlap, so the money doesn't decide it"
    return (
        f"Going on with {_name(old)} costs {_money(on[0], old)} a unit and year "
        f"({limits(on[1], on[2], 'money')}; {counted(old.failures, 'failure')} in "
        f"{old.unit_days:,} unit-days), buying {_name(new)} {_money(buy[0], old)} "
        f"({limits(buy[1], buy[2], 'money')}; {counted(new.failures, 'failure')} in "
        f"{new.unit_days:,}): {word}. Reckoned with {plans.years} years, interest "
        f"{rates.percent(plans.interest)}, nothing fetched by old gear, a failure of either at "
        f"{_money(costs_of, old)}."
    )


def spare_stock(facts: Facts, plans: Plans) -> spares.Stock | None:
    """Return the spares that the units in use ask for; None without exposure or units."""
    using = sum(1 for unit in facts.units if unit.state not in GONE)
    if not (using and facts.unit_days):
        return None
    lead = using * plans.lead_days
    return spares.stock(facts.failures, facts.unit_days, lead, service=plans.service)


def _spares(facts: Facts, plans: Plans) -> list[str]:
    found = spare_stock(facts, plans)
    if found is None:
        return []
    using = sum(1 for unit in facts.units if unit.state not in GONE)
    return [
        (
            f"Spares for {counted(using, 'unit')} in use, {plans.lead_days} days until one is "
            f"replaced, enough in {rates.percent(plans.service)} of such times: "
            f"{found.predictive} with the rate as uncertain as it is, {found.plug_in} "
            f"if the rate seen were exact "
            f"({counted(found.failures, 'failure')} in {facts.unit_days:,} unit-days). Not for a "
            f"batch that wears out in step."
        )
    ]


def _prices(facts: Facts) -> list[str]:
    known = _paid(facts)
    if not known:
        return ["No price is written down."]
    total = sum(price for price, _ in known)
    yearly = total / sum(years for _, years in known)
    return [f"{_money(yearly, facts)} paid a unit-year over {counted(len(known), 'unit')} so far."]


def _paid(facts: Facts) -> list[tuple[int, float]]:
    """Return price and years in service of each unit whose price is known."""
    return [
        (unit.price, years)
        for unit in facts.units
        if unit.price is not None and (years := _years(unit, facts)) > 0
    ]


def _open_warranty(facts: Facts) -> list[UnitFacts]:
    return [
        unit
        for unit in facts.units
        if unit.warranty_until
        and unit.warranty_until > facts.frame.today
        and unit.state not in GONE
    ]


def _warranty(facts: Facts) -> list[str]:
    still = [f"{unit.name} until {unit.warranty_until}" for unit in _open_warranty(facts)]
    unknown = sum(1 for unit in facts.units if not unit.warranty_until and unit.state not in GONE)
    if still:
        return [f"Warranty still open: {', '.join(still)}. Claim before you pay for a repair."]
    unsaid = f"; nobody wrote it down of {counted(unknown, 'unit')} in use" if unknown else ""
    return [f"No warranty is known to be open{unsaid}."]


def _row(unit: UnitFacts, facts: Facts) -> tuple[Value, ...]:
    years = _years(unit, facts)
    yearly = None if unit.price is None or years <= 0 else unit.price / years
    return unit.name, unit.state, unit.in_service, unit.price, yearly, unit.warranty_until


def _years(unit: UnitFacts, facts: Facts) -> float:
    last = unit.exposure.intervals[-1].until if unit.exposure.intervals else unit.in_service
    end = last if unit.state in GONE else facts.frame.today
    return max(0, (end - unit.in_service).days) / rates.DAYS_A_YEAR


def _money(minor: float, facts: Facts) -> str:
    return f"{shown(minor, 'money')} {facts.frame.currency}"


def _name(facts: Facts) -> str:
    return facts.units[0].model if facts.units else ""
