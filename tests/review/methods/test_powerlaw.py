"""The power law agrees with the published fits of repaired systems."""

from itertools import accumulate

import numpy as np
import pytest
from published import CASES, printed
from scipy import optimize

from kb.errors import InvalidError
from kb.review.methods import duane, powerlaw, trend


def of_three_systems(confidence: float) -> powerlaw.PowerLaw:
    case = CASES["PLP-01"]["inputs"]
    return powerlaw.fit(case["systems_event_times"], case["T"], confidence=confidence)


def test_crow_s_three_systems() -> None:
    found = of_three_systems(0.9)
    assert found.beta == printed("PLP-01", "beta")
    assert found.scale == printed("PLP-01", "lambda")
    assert found.beta_unbiased == printed("PLP-01", "beta_unbiased")
    case = CASES["PLP-01"]["inputs"]
    left = trend.logs_left(trend.spans(case["systems_event_times"], case["T"]))
    assert list(left) == printed("PLP-01", "sum_ln_T_over_t")


def test_the_same_systems_by_another_program() -> None:
    found = of_three_systems(CASES["PLP-02"]["inputs"]["confidence"])
    assert found.beta == printed("PLP-02", "beta")
    assert found.scale == printed("PLP-02", "lambda")
    assert found.eta == printed("PLP-02", "eta")
    assert (found.low, found.high) == (
        printed("PLP-02", "beta_lower"),
        printed("PLP-02", "beta_upper"),
    )


def test_exact_and_large_sample_limits() -> None:
    found = of_three_systems(0.9)
    assert found.low == printed("PLP-03", "beta_lower_90")
    assert found.high == printed("PLP-03", "beta_upper_90")
    normal = powerlaw.normal_limits(found.beta, found.failures)[0]
    assert normal == printed("PLP-03", "beta_lower_90_normal_approx")
    low, high = powerlaw.scale_limits(36, CASES["PLP-03"]["inputs"]["T"], 0.5, confidence=0.95)
    assert low == printed("PLP-03", "lambda_lower_95_beta_half")
    assert high == printed("PLP-03", "lambda_upper_95_beta_half")


def test_a_watch_that_ends_with_a_failure() -> None:
    ages = list(accumulate(CASES["TRD-02"]["inputs"]["times_between_failures"]))
    found = powerlaw.fit([ages], failure_terminated=True)
    assert found.beta == printed("TRD-02", "beta")
    assert found.scale == printed("TRD-02", "lambda")
    assert found.beta_unbiased == pytest.approx(1.4822, abs=5e-5)  # the note of the check


def test_nist_current_mean_time() -> None:
    case = CASES["PLP-06"]["inputs"]
    found = powerlaw.current_mean_time(
        case["event_times"], case["T"], confidence=case["confidence"]
    )
    assert 1 - found.beta == printed("PLP-06", "duane_slope")
    assert found.beta == printed("PLP-06", "beta")
    assert found.scale == printed("PLP-06", "lambda")
    assert found.mean == printed("PLP-06", "mtbf")
    assert found.low == printed("PLP-06", "lower")
    assert found.high == printed("PLP-06", "upper")


def test_handbook_example_with_a_tie_and_its_goodness_of_fit() -> None:
    case = CASES["PLP-07"]["inputs"]
    found = powerlaw.fit([case["event_times"]], [case["T"]])
    assert found.beta == printed("PLP-07", "beta")
    assert found.scale == printed("PLP-07", "lambda")
    assert found.intensity == printed("PLP-07", "intensity_at_T")
    assert 1 / found.intensity == printed("PLP-07", "mtbf_at_T")
    assert found.misfit == printed("PLP-07", "cvm")


# Crow's critical values of the statistic at 10 % and 5 %, from memory of MIL-HDBK-189's table.
@pytest.mark.parametrize(
    ("failures", "tenth", "twentieth"), [(10, 0.167, 0.212), (30, 0.172, 0.218)]
)
def test_drawn_histories_agree_with_the_table_of_the_goodness_of_fit(
    failures: int, tenth: float, twentieth: float
) -> None:
    assert powerlaw._fit_p(tenth, failures) == pytest.approx(0.10, abs=0.02)
    assert powerlaw._fit_p(twentieth, failures) == pytest.approx(0.05, abs=0.015)


def test_monthly_counts() -> None:
    case = CASES["PLP-09"]["inputs"]
    beta, scale = powerlaw.fit_grouped(case["interval_ends"], case["counts"])
    assert beta == printed("PLP-09", "beta")
    assert scale == printed("PLP-09", "lambda")


def test_duane_lines() -> None:
    found = duane.line(CASES["DUA-01"]["inputs"]["event_times"])
    assert found.slope == printed("DUA-01", "alpha")
    assert found.scale == printed("DUA-01", "A")
    assert found.cumulative == printed("DUA-01", "mtbf_cumulative")
    assert found.instantaneous == printed("DUA-01", "mtbf_instantaneous")


def test_duane_and_the_power_law_disagree_on_the_same_data() -> None:
    miles = CASES["DUA-03"]["inputs"]["event_miles"]
    drawn, law = duane.line(miles), powerlaw.fit([miles], failure_terminated=True)
    assert drawn.slope == printed("DUA-03", "duane_alpha")
    assert drawn.scale == printed("DUA-03", "duane_A")
    assert law.beta == printed("DUA-03", "power_law_beta")
    assert law.scale == printed("DUA-03", "power_law_lambda")
    assert 1 / law.intensity == printed("DUA-03", "mtbf_instantaneous_power_law")
    assert drawn.instantaneous == pytest.approx(15_500, abs=1)  # the note of the check


def test_unequal_watches_have_the_highest_likelihood_that_a_search_finds() -> None:
    events, ends = [[3.0, 9, 11], [1.0, 4], [20.0]], [12.0, 5, 30]
    found = powerlaw.fit(events, ends)

    def unlikely(at: tuple[float, float]) -> float:
        beta, scale = np.exp(at)
        logs = sum(np.log(scale * beta * t ** (beta - 1)) for one in events for t in one)
        return -float(logs - sum(scale * end**beta for end in ends))

    best = optimize.minimize(unlikely, (0, -2), method="Nelder-Mead", options={"xatol": 1e-9})
    assert np.exp(best.x) == pytest.approx([found.beta, found.scale], rel=1e-4)
    assert found.beta_conditional != pytest.approx(found.beta, rel=1e-3)


@pytest.mark.parametrize("events", [[[]], [[3.0]]])
def test_too_few_failures_make_no_law(events: list[list[float]]) -> None:
    with pytest.raises(InvalidError, match="fewer than two"):
        powerlaw.fit(events, [5.0])


def test_intervals_that_don_t_rise_are_refused() -> None:
    with pytest.raises(InvalidError, match="rise"):
        powerlaw.fit_grouped([20, 10], [1, 2])
