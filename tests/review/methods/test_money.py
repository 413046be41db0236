"""Repair or replace agrees with published examples."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import money


def test_published_defender_and_challenger() -> None:
    case = CASES["ECO-01"]["inputs"]
    old, new, rate = case["defender"], case["challenger"], case["rate"]
    ways = (old["market_value_now"], old["market_value_year_end"], old["expenses"], rate)
    further = money.going_on(*ways)
    assert list(further) == printed("ECO-01", "marginal")
    assert list(money.annual_costs(*ways)) == printed("ECO-01", "euac")
    flows = [new["first_cost"], *[new["expenses"]] * new["life"]]
    flows[-1] -= new["salvage"]
    challenger = money.equivalent_annual(flows, rate)
    assert challenger == printed("ECO-01", "challenger_euac")
    assert money.keep_or_replace(further, challenger).keep == printed("ECO-01", "keep_years")


def test_published_keep_then_replace_against_replace_now() -> None:
    case = CASES["ECO-03"]["inputs"]
    keep, now, rate = case["keep"], case["replace_now"], case["rate"]
    flows = [0, *keep["om"], *keep["then_om"]]
    flows[5] += keep["year5_net_outlay"]
    flows[10] -= keep["salvage_year10"]
    kept = money.equivalent_annual(flows, rate)
    yearly = [now["om_gradient"] * year for year in range(now["years"])]
    yearly[-1] -= now["salvage"]
    replaced = money.equivalent_annual([now["first_net"], *yearly], rate)
    assert kept == printed("ECO-03", "euac_keep")
    assert replaced == printed("ECO-03", "euac_replace")
    assert kept - replaced == printed("ECO-03", "difference")


def test_published_decision_year_by_year() -> None:
    case = CASES["ECO-05"]["inputs"]
    found = money.keep_or_replace(case["defender_marginal_cost"], case["challenger_min_euac"])
    decided = ["keep" if year < found.keep else "replace" for year in range(3)]
    assert decided == CASES["ECO-05"]["expected"]["decision"]


def test_economic_life_and_what_is_as_good() -> None:
    # By hand, without interest: (100 + 10)/1, (100 + 30)/2, (100 + 60)/3, (100 + 150)/4.
    found = money.economic_life(100, [0, 0, 0, 0], [10, 20, 30, 90], 0)
    assert found.yearly == pytest.approx((110, 65, 160 / 3, 62.5))
    assert (found.best, found.nearly) == (3, (3,))
    flat = money.economic_life(100, [0, 0], [0, 1], 0)
    assert flat.nearly == (2,)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.001, 0.5), st.integers(1, 30))
def test_paying_back_1_a_year_at_a_time_is_worth_1(rate: float, years: int) -> None:
    each = money.capital_recovery(rate, years)
    assert money.present_worth([0, *[each] * years], rate) == pytest.approx(1)
    assert money.capital_recovery(0, years) == pytest.approx(1 / years)


def test_cost_of_a_failure_and_price_a_year() -> None:
    assert money.cost_of_failure(50, 20, 5, 12) == 130
    assert money.price_per_unit_year(900, 3) == 300


@pytest.mark.parametrize(
    "call",
    [
        lambda: money.capital_recovery(-0.1, 5),
        lambda: money.capital_recovery(0.1, 0),
        lambda: money.present_worth([1], -1),
        lambda: money.annual_costs(1, [1], [1, 2], 0),
        lambda: money.economic_life(1, [], [], 0),
        lambda: money.cost_of_failure(-1, 0, 0, 0),
        lambda: money.price_per_unit_year(5, 0),
    ],
)
def test_sums_that_can_t_be_are_refused(call: object) -> None:
    with pytest.raises(InvalidError):
        call()  # type: ignore[operator]
