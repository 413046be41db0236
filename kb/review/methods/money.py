"""Repair or replace: equivalent annual cost, economic life, the cost of going on a year.

(A/P, i, n) = i (1 + i)^n / ((1 + i)^n - 1), or 1/n where i is 0. The equivalent annual cost of
owning something for n years is [price - resale_n / (1 + i)^n + sum of cost_k / (1 + i)^k] times
that. What is owned enters at what it would fetch today, never at what was once paid. Going on
is right while the next year's cost is at most the best yearly cost of the new one; valid where
the yearly costs rise and the new one can be bought again alike. No taxes, no inflation.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from kb.review.methods import inputs

NEAR = 0.02


@dataclass(frozen=True)
class EconomicLife:
    """What it costs a year to own something, by how long it's kept.

    Attributes:
        yearly: Equivalent annual cost if kept for 1, 2, ... years.
        best: For how many years it's kept at the least cost.
        least: That cost.
        nearly: All lives whose cost is within 2 % of the least: the optimum is flat.
    """

    yearly: tuple[float, ...]
    best: int
    least: float
    nearly: tuple[int, ...]


@dataclass(frozen=True)
class Choice:
    """Whether to go on with what is owned.

    Attributes:
        going_on: The cost of each further year.
        new: The best yearly cost of the new one.
        keep: For how many further years going on is at most as dear, from now on.
    """

    going_on: tuple[float, ...]
    new: float
    keep: int


def capital_recovery(rate: float, years: int) -> float:
    """Return (A/P, rate, years): the yearly sum that pays back 1 now.

    Args:
        rate: Interest a year, 0.15 for 15 %, zero or more.
        years: At least 1.

    Raises:
        InvalidError: A rate below zero, or no year.
    """
    if rate < 0 or years < 1:
        raise inputs.refused("rate", "give a rate of zero or more and at least one year.")
    if rate == 0:
        return 1 / years
    grown = (1 + rate) ** years
    return float(rate * grown / (grown - 1))


def present_worth(flows: Sequence[float], rate: float) -> float:
    """Return what payments are worth now.

    Args:
        flows: What is paid now, after one year, after two ...; income is below zero.
        rate: Interest a year, above -1.

    Raises:
        InvalidError: A rate of -1 or below.
    """
    if rate <= -1:
        raise inputs.refused("rate", f"{rate:g} is no rate of interest. Give 0.05 for 5 %.")
    return sum(one / (1 + rate) ** year for year, one in enumerate(flows))


def equivalent_annual(flows: Sequence[float], rate: float) -> float:
    """Return the level yearly sum, paid at the end of each year, that payments are worth.

    Args:
        flows: What is paid now, after one year, ... after the last year; income is below zero.
        rate: Interest a year.

    Raises:
        InvalidError: No year, or no such rate.
    """
    return present_worth(flows, rate) * capital_recovery(rate, len(flows) - 1)


def annual_costs(
    price: float, resale: Sequence[float], costs: Sequence[float], rate: float
) -> tuple[float, ...]:
    """Return the equivalent annual cost of owning something for 1, 2, ... years.

    Args:
        price: What it costs now; of what is owned already, what it would fetch now.
        resale: What it would fetch after each year.
        costs: What each year costs: upkeep, and expected failures times their cost.
        rate: Interest a year.

    Raises:
        InvalidError: Lists that don't match, or no such rate.
    """
    inputs.alike("costs", resale, costs)
    found: list[float] = []
    for years, left in enumerate(resale, start=1):
        flows = [price, *costs[:years]]
        flows[-1] -= left
        found.append(equivalent_annual(flows, rate))
    return tuple(found)


def economic_life(
    price: float, resale: Sequence[float], costs: Sequence[float], rate: float
) -> EconomicLife:
    """Return for how long something is best kept.

    Args:
        price: What it costs now.
        resale: What it would fetch after each year.
        costs: What each year costs.
        rate: Interest a year.

    Raises:
        InvalidError: No year, lists that don't match, or no such rate.
    """
    yearly = annual_costs(price, resale, costs, rate)
    if not yearly:
        raise inputs.refused("costs", "there is no year in them. Give at least one.")
    least = min(yearly)
    edge = least + abs(least) * NEAR
    nearly = tuple(years for years, one in enumerate(yearly, start=1) if one <= edge)
    return EconomicLife(yearly, yearly.index(least) + 1, least, nearly)


def going_on(
    worth_now: float, resale: Sequence[float], costs: Sequence[float], rate: float
) -> tuple[float, ...]:
    """Return the cost of each further year: worth lost, interest forgone, what the year costs.

    Args:
        worth_now: What it would fetch now.
        resale: What it would fetch after each year.
        costs: What each year costs.
        rate: Interest a year.

    Raises:
        InvalidError: Lists that don't match.
    """
    inputs.alike("costs", resale, costs)
    before = [worth_now, *resale[:-1]]
    return tuple(
        had * (1 + rate) - has + cost for had, has, cost in zip(before, resale, costs, strict=True)
    )


def keep_or_replace(further_years: Sequence[float], new: float) -> Choice:
    """Return for how many further years what is owned is kept.

    Args:
        further_years: The cost of each further year, from the next one on; must not fall, else
            look at `annual_costs` of what is owned too.
        new: The best yearly cost of the new one.
    """
    keep = next((n for n, one in enumerate(further_years) if one > new), len(further_years))
    return Choice(tuple(further_years), new, keep)


def cost_of_failure(repair: float, parts: float, minutes: float, minute_cost: float) -> float:
    """Return what a failure costs: repair, parts, and the minutes lost at the room's rate.

    Args:
        repair: What the work costs.
        parts: What the parts cost.
        minutes: Minutes lost.
        minute_cost: What one of them costs, in the same currency.

    Raises:
        InvalidError: One is below zero.
    """
    if min(repair, parts, minutes, minute_cost) < 0:
        raise inputs.refused("cost", "one part of it is below zero. Mend it.")
    return repair + parts + minutes * minute_cost


def price_per_unit_year(price: float, years: float) -> float:
    """Return what a unit costs for each year in service so far.

    Args:
        price: What was paid.
        years: In service, above zero.

    Raises:
        InvalidError: No time in service.
    """
    return price / inputs.above_zero("years", years)
