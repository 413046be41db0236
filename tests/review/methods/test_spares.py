"""Spares as published, the trap of one too few too; an uncertain rate asks for more."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import spares


def test_thirty_parts() -> None:
    case = CASES["SPR-01"]["inputs"]
    demand = case["parts"] / case["mtbf_h"] * case["period_h"]
    assert demand == printed("SPR-01", "mean_demand")
    assert spares.needed(demand, service=case["service"]) == printed("SPR-01", "k")


def test_twenty_parts() -> None:
    case = CASES["SPR-02"]["inputs"]
    demand = case["parts"] * case["rate_per_h"] * case["period_h"]
    assert demand == printed("SPR-02", "mean_demand")
    assert spares.needed(demand, service=case["service"]) == printed("SPR-02", "k")


def test_three_spares_meet_three_failures() -> None:
    case = CASES["SPR-04"]["inputs"]
    assert spares.cover(case["mean_demand"], 2) == printed("SPR-04", "p_demand_le_2")
    assert spares.cover(case["mean_demand"], case["stock"]) == printed("SPR-04", "p_demand_le_3")


def test_little_evidence_asks_for_one_more() -> None:
    # 1 failure in 10 unit-years, 5 unit-years of lead; then none at all.
    one, none = spares.stock(1, 10, 5), spares.stock(0, 10, 5)
    assert (one.plug_in, one.predictive) == (2, 3)
    assert (none.plug_in, none.predictive) == (0, 1)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 80), st.floats(0.5, 0.999))
def test_the_stock_is_scipy_s_poisson_quantile(demand: float, service: float) -> None:
    assert spares.needed(demand, service=service) == stats.poisson.ppf(service, demand)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 40), st.floats(0.5, 50), st.floats(0.1, 20), st.floats(0.5, 0.995))
def test_the_predictive_stock_is_scipy_s_negative_binomial_quantile(
    failures: int, exposure: float, lead: float, service: float
) -> None:
    found = spares.stock(failures, exposure, lead, service=service)
    share = exposure / (exposure + lead)
    assert found.predictive == stats.nbinom.ppf(service, failures + 0.5, share)


@pytest.mark.parametrize("values", [(-1, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_what_can_t_be_is_refused(values: tuple[int, float, float]) -> None:
    with pytest.raises(InvalidError):
        spares.stock(*values)
    with pytest.raises(InvalidError, match="service"):
        spares.needed(1, service=1)
