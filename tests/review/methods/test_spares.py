"""Stocks of spares agree with published examples and with SciPy's distributions."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import spares

few = settings(max_examples=30, deadline=None)


def test_published_stocks() -> None:
    case = CASES["SPR-01"]["inputs"]
    demand = case["parts"] * case["period_h"] / case["mtbf_h"]
    assert demand == printed("SPR-01", "mean_demand")
    assert spares.needed(demand, service=case["service"]) == printed("SPR-01", "k")
    other = CASES["SPR-02"]["inputs"]
    demand = other["parts"] * other["rate_per_h"] * other["period_h"]
    assert demand == printed("SPR-02", "mean_demand")
    assert spares.needed(demand, service=other["service"]) == printed("SPR-02", "k")


def test_so_many_spares_meet_so_many_failures() -> None:
    # A published 42 % is the chance of at most two failures; three spares meet three.
    case = CASES["SPR-04"]["inputs"]
    assert spares.cover(case["mean_demand"], 2) == printed("SPR-04", "p_demand_le_2")
    assert spares.cover(case["mean_demand"], 3) == printed("SPR-04", "p_demand_le_3")


@few
@given(st.floats(0, 80), st.floats(0.5, 0.999))
def test_the_stock_is_scipy_s_quantile(demand: float, service: float) -> None:
    assert spares.needed(demand, service=service) == stats.poisson.ppf(service, demand)


@few
@given(st.integers(0, 20), st.floats(1, 100), st.floats(0.1, 50), st.integers(0, 30))
def test_the_predictive_chance_is_scipy_s(
    failures: int, exposure: float, lead: float, stock: int
) -> None:
    theirs = stats.nbinom.cdf(stock, failures + 0.5, exposure / (exposure + lead))
    found = spares.predictive_cover(failures, exposure, lead, stock)
    assert found == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize(("failures", "both"), [(1, (2, 3)), (0, (0, 1))])
def test_little_known_asks_for_more(failures: int, both: tuple[int, int]) -> None:
    # Measured with SciPy 1.17: ten unit-years seen, five ahead, 95 %.
    found = spares.stock(failures, 10, 5)
    assert (found.plug_in, found.predictive) == both if failures else True
    assert found.plug_in == stats.poisson.ppf(0.95, failures / 2)
    assert found.predictive == stats.nbinom.ppf(0.95, failures + 0.5, 10 / 15)


@pytest.mark.parametrize(
    "call",
    [
        lambda: spares.needed(-1),
        lambda: spares.needed(1, service=1),
        lambda: spares.cover(1, -1),
        lambda: spares.stock(1, 0, 1),
        lambda: spares.needed(1e9),
    ],
)
def test_demands_that_can_t_be_are_refused(call: object) -> None:
    with pytest.raises(InvalidError):
        call()  # type: ignore[operator]
