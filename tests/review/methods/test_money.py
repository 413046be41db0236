"""Costs a year agree with worked examples of engineering economics."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed

from kb.errors import InvalidError
from kb.review.methods import money


def test_defender_and_challenger_of_a_course() -> None:
    case, expected = CASES["ECO-01"]["inputs"], CASES["ECO-01"]["expected"]
    rate, old, new = case["rate"], case["defender"], case["challenger"]
    worth, after, costs = old["market_value_now"], old["market_value_year_end"], old["expenses"]
    further = money.going_on(worth, after, costs, rate)
    assert list(further) == printed("ECO-01", "marginal")
    assert list(money.annual_costs(worth, after, costs, rate)) == printed("ECO-01", "euac")
    flows = [new["first_cost"], *[new["expenses"]] * new["life"]]
    flows[-1] -= new["salvage"]
    challenger = money.equivalent_annual(flows, rate)
    assert challenger == printed("ECO-01", "challenger_euac")
    assert money.keep_or_replace(further, challenger).keep == expected["keep_years"]


def test_keep_then_replace_against_replace_now() -> None:
    case = CASES["ECO-03"]["inputs"]
    keep, now = case["keep"], case["replace_now"]
    flows = [0.0, *keep["om"], *keep["then_om"]]
    flows[5] += keep["year5_net_outlay"]
    flows[10] -= keep["salvage_year10"]
    other = [now["first_net"], *(now["om_gradient"] * year for year in range(now["years"]))]
    other[-1] -= now["salvage"]
    found = [money.equivalent_annual(each, case["rate"]) for each in (flows, other)]
    assert found[0] == printed("ECO-03", "euac_keep")
    assert found[1] == printed("ECO-03", "euac_replace")
    assert found[0] - found[1] == printed("ECO-03", "difference")


def test_years_are_kept_while_they_cost_at_most_the_new_one() -> None:
    case = CASES["ECO-05"]["inputs"]
    further = case["defender_marginal_cost"]
    keep = money.keep_or_replace(further, case["challenger_min_euac"]).keep
    said = ["keep" if year < keep else "replace" for year in range(len(further))]
    assert said == CASES["ECO-05"]["expected"]["decision"]


def test_the_life_of_least_cost_and_all_that_are_nearly_as_good() -> None:
    # 1000 falling to nothing in two years, upkeep rising; by hand at 0 %.
    found = money.economic_life(1000, [500, 0, 0, 0], [100, 200, 300, 400], 0)
    assert found.yearly == pytest.approx((600, 650, 1600 / 3, 500))
    assert (found.best, found.least, found.nearly) == (4, 500, (4,))
    flat = money.economic_life(100, [90, 80, 71], [10, 10, 10], 0)
    assert flat.nearly == (1, 2, 3)


@settings(max_examples=50, deadline=None)
@given(st.floats(1e-6, 0.5), st.integers(1, 40))
def test_what_is_paid_back_is_worth_what_was_lent(rate: float, years: int) -> None:
    yearly = money.capital_recovery(rate, years)
    assert money.present_worth([0, *[yearly] * years], rate) == pytest.approx(1)
    assert money.capital_recovery(0, years) == 1 / years


def test_the_cost_of_a_failure_and_a_price_a_year() -> None:
    assert money.cost_of_failure(240, 10, 15, 12) == 430
    assert money.price_per_unit_year(980, 3.5) == 280


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: money.capital_recovery(-0.1, 3),
        lambda: money.capital_recovery(0.1, 0),
        lambda: money.economic_life(1, [], [], 0.1),
        lambda: money.annual_costs(1, [1], [], 0.1),
        lambda: money.cost_of_failure(1, 1, -1, 1),
        lambda: money.price_per_unit_year(1, 0),
        lambda: money.present_worth([1], -1),
    ],
)
def test_what_can_t_be_is_refused(wrong: object) -> None:
    with pytest.raises(InvalidError):
        wrong()  # type: ignore[operator]
