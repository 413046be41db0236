"""Shrunk rates agree with the published pump example; a ranking by the lower limit is fair."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import CASES, printed
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import shrinkage
from kb.review.methods.shrinkage import Gamma

# Eight models, failures and unit-years; made up, no source.
COUNTS, YEARS = [1, 6, 3, 2, 9, 0, 4, 1], [2.0, 30, 18, 25, 40, 6, 12, 22]


def test_the_pump_example_of_bugs() -> None:
    case = CASES["EB-01"]["inputs"]
    found = shrinkage.hierarchical(case["failures"], case["exposure"])
    assert [one.mean for one in found.groups] == printed("EB-01", "theta_mean")
    assert found.shape_mean == printed("EB-01", "alpha_mean")
    assert found.rate_mean == printed("EB-01", "beta_mean")


def test_the_plug_in_fit_of_the_pumps() -> None:
    case = CASES["EB-02"]["inputs"]
    found = shrinkage.fit_prior(case["failures"], case["exposure"])
    assert found is not None
    assert found.shape == printed("EB-02", "alpha")
    assert found.rate == printed("EB-02", "beta")
    seventh = shrinkage.posterior(case["failures"][6], case["exposure"][6], found)
    assert seventh.mean == pytest.approx(0.789, abs=5e-4)  # from 0.952, in the note of the check


def test_the_prior_that_two_judgements_make() -> None:
    case = CASES["EB-04"]["inputs"]
    found = shrinkage.prior_from_judgement(case["mtbf_50"], case["mtbf_05"])
    assert found.shape == printed("EB-04", "a")
    assert found.rate == printed("EB-04", "b")
    shares = [
        stats.gamma.cdf(rate, case["check_a"], scale=1 / case["check_b"])
        for rate in case["check_rates"]
    ]
    assert shares == [printed("EB-04", "check_median"), printed("EB-04", "check_95")]


def test_the_posterior_is_scipy_s_gamma() -> None:
    found = shrinkage.posterior(3, 20, Gamma(0.5, 4), confidence=0.8)
    theirs = stats.gamma(3.5, scale=1 / 24)
    assert (found.mean, found.low, found.high) == pytest.approx(
        (theirs.mean(), theirs.ppf(0.1), theirs.ppf(0.9))
    )


def test_where_no_spread_is_seen_the_plug_in_fit_has_no_answer() -> None:
    assert shrinkage.fit_prior(COUNTS, YEARS) is None
    assert shrinkage.fit_prior([0, 0], [1, 2]) is None


def test_one_failure_in_two_units_doesn_t_top_the_list() -> None:
    found = shrinkage.shrunk_rates(COUNTS, YEARS)
    raw = [x / t for x, t in zip(COUNTS, YEARS, strict=True)]
    assert max(range(8), key=lambda at: raw[at]) == 0
    by_low = sorted(range(8), key=lambda at: -found[at].low)
    assert by_low[:2] == [4, 6]
    assert found[0].mean == pytest.approx(0.29, abs=0.005)


def test_the_answer_doesn_t_depend_on_days_or_years() -> None:
    years = shrinkage.shrunk_rates(COUNTS, YEARS)
    days = shrinkage.shrunk_rates(COUNTS, [365.25 * one for one in YEARS])
    for one, other in zip(years, days, strict=True):
        assert (one.mean, one.low, one.high) == pytest.approx(
            tuple(365.25 * each for each in (other.mean, other.low, other.high))
        )


def test_without_any_failure_each_gets_jeffreys_posterior() -> None:
    (one, _) = shrinkage.shrunk_rates([0, 0], [4.0, 8.0])
    assert one.mean == 0.5 / 4
    assert one.high == pytest.approx(stats.gamma.ppf(0.95, 0.5) / 4)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(0, 30), min_size=1, max_size=6), st.floats(0.1, 100))
def test_rates_are_drawn_together_and_keep_their_order(counts: list[int], time: float) -> None:
    found = shrinkage.shrunk_rates(counts, [time] * len(counts))
    assert all(0 < one.low < one.mean < one.high for one in found)
    means = [one.mean for one in found]
    assert (max(means) - min(means)) * time <= max(counts) - min(counts) + 1e-9
    assert sorted(counts) == [x for _, x in sorted(zip(means, counts, strict=True))]


@pytest.mark.parametrize(
    ("counts", "times"), [([1], [1.0, 2.0]), ([-1], [1.0]), ([1], [0.0]), ([1], [float("nan")])]
)
def test_what_no_rate_can_be_made_of_is_refused(counts: list[int], times: list[float]) -> None:
    with pytest.raises(InvalidError):
        shrinkage.shrunk_rates(counts, times)


def test_judgements_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(InvalidError, match="lower time"):
        shrinkage.prior_from_judgement(250, 600)
