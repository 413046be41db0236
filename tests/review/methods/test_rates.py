"""Rates and mean times agree with published ones, and their limits hold what they promise."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from kb.errors import InvalidError
from kb.review.methods import rates

REFERENCE: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parents[2] / "reference" / "review.json").read_text(encoding="utf-8")
    )
}
few = settings(max_examples=60, deadline=None)
counts = st.integers(0, 400)
exposures = st.floats(1e-3, 1e6)
confidences = st.floats(0.05, 0.999)


def close(number: str, value: float) -> object:
    """Return the value within the tolerance of a published check."""
    return pytest.approx(value, **REFERENCE[number]["tolerance"])


def test_nist_example_of_two_failures_in_800_hours() -> None:
    case = REFERENCE["MTBF-01"]
    given_, expected = case["inputs"], case["expected"]
    found = rates.mean_time(given_["failures"], given_["T"], confidence=given_["confidence"])
    assert found.mean == expected["mtbf"]
    assert found.low == close("MTBF-01", expected["lower"])
    assert found.high == close("MTBF-01", expected["upper"])


@pytest.mark.parametrize(
    ("confidence", "bound"),
    [(0.90, "rate_upper_one_sided_95"), (0.95, "rate_upper_two_sided_95")],
)
def test_without_a_failure_the_upper_limit_is_that_of_the_zero_fails_rule(
    confidence: float, bound: str
) -> None:
    case = REFERENCE["MTBF-02"]
    exposure, expected = case["inputs"]["exposure"], case["expected"][bound]
    rate = rates.failure_rate(0, exposure, confidence=confidence)
    mean = rates.mean_time(0, exposure, confidence=confidence)
    assert (rate.rate, rate.low) == (0, 0)
    assert rate.high == close("MTBF-02", expected)
    assert (mean.mean, mean.high) == (None, None)
    assert 1 / mean.low == close("MTBF-02", expected)


def test_lower_limit_of_seven_failures_at_80_percent() -> None:
    case = REFERENCE["MTBF-04"]
    given_ = case["inputs"]
    found = rates.mean_time(given_["failures"], given_["T"], confidence=given_["confidence"])
    assert found.low == close("MTBF-04", case["expected"]["lower"])


def test_point_estimate_is_exposure_over_failures() -> None:
    case = REFERENCE["MTBF-06"]
    found = rates.mean_time(case["inputs"]["failures"], case["inputs"]["T"])
    assert found.mean == close("MTBF-06", case["expected"]["mtbf"])


def test_mean_life_of_a_censored_fleet_of_fans() -> None:
    # The printed mean life is from memory; the data were read. See the reference file.
    case = REFERENCE["MTBF-07"]
    failed, running = case["inputs"]["failure_h"], case["inputs"]["censored_h"]
    assert len(failed) == case["expected"]["failures"]
    assert len(failed) + len(running) == case["expected"]["units"]
    assert sum(failed) + sum(running) == case["expected"]["exposure_h"]
    found = rates.mean_time(len(failed), sum(failed) + sum(running))
    assert found.mean == close("MTBF-07", case["expected"]["mean_life_h"])


def test_jeffreys_limits_of_fifteen_in_400() -> None:
    case = REFERENCE["MTBF-08"]
    given_, expected = case["inputs"], case["expected"]
    low, high = rates.jeffreys_limits(
        given_["count"], given_["exposure"], confidence=given_["confidence"]
    )
    assert low == close("MTBF-08", expected["lower"])
    assert high == close("MTBF-08", expected["upper"])


def test_rate_of_units_times_hours() -> None:
    case = REFERENCE["EXP-03"]
    given_, expected = case["inputs"], case["expected"]
    hours = given_["units"] * given_["hours_each"]
    found = rates.failure_rate(given_["failures"], hours)
    assert found.exposure == expected["exposure_h"]
    assert found.rate == close("EXP-03", expected["rate_per_h"])


def test_a_year_has_365_and_a_quarter_days() -> None:
    found = rates.yearly_rate(3, 1461)
    assert (found.exposure, found.rate) == (4.0, 0.75)
    assert found == rates.failure_rate(3, 4.0)


def test_confidence_is_90_percent_unless_told_otherwise() -> None:
    assert rates.failure_rate(2, 5).confidence == 0.9
    assert rates.mean_time(2, 5) == rates.mean_time(2, 5, confidence=0.9)


@pytest.mark.parametrize(
    ("failures", "unit_days", "confidence", "words"),
    [
        (
            0,
            4383,
            0.90,
            (
                "No failure in 4,383 unit-days: below 0.25 a unit and year (upper limit of the "
                "two-sided 90 % interval, the same as the one-sided 95 % bound)."
            ),
        ),
        (
            0,
            4383,
            0.95,
            (
                "No failure in 4,383 unit-days: below 0.307 a unit and year (upper limit of the "
                "two-sided 95 % interval, the same as the one-sided 97.5 % bound)."
            ),
        ),
        (
            1,
            3652.5,
            0.90,
            (
                "1 failure in 3,652 unit-days: 0.1 a unit and year (two-sided 90 % interval "
                "0.00513 to 0.474)."
            ),
        ),
        (
            700,
            365.25,
            0.90,
            (
                "700 failures in 365 unit-days: 700 a unit and year (two-sided 90 % interval "
                "657 to 745)."
            ),
        ),
    ],
)
def test_a_rate_in_words_names_its_sample_and_its_bound(
    failures: int, unit_days: float, confidence: float, words: str
) -> None:
    assert rates.in_words(failures, unit_days, confidence=confidence) == words


@pytest.mark.parametrize(
    ("failures", "exposure", "confidence", "fields"),
    [
        (-1, 10, 0.9, ["failures"]),
        (1, -10, 0.9, ["exposure"]),
        (1, 0, 0.9, ["exposure"]),
        (1, float("nan"), 0.9, ["exposure"]),
        (1, float("inf"), 0.9, ["exposure"]),
        (1, 10, 0.0, ["confidence"]),
        (1, 10, 1.0, ["confidence"]),
        (1, 10, 90, ["confidence"]),
        (1, 10, float("nan"), ["confidence"]),
        (-1, -1, -1, ["failures", "exposure", "confidence"]),
    ],
)
def test_nonsense_is_refused_by_name(
    failures: int, exposure: float, confidence: float, fields: list[str]
) -> None:
    for rate in (
        rates.failure_rate,
        rates.yearly_rate,
        rates.mean_time,
        rates.jeffreys_limits,
        rates.in_words,
    ):
        with pytest.raises(InvalidError) as caught:
            rate(failures, exposure, confidence=confidence)
        assert [problem.field for problem in caught.value.problems] == fields


@few
@given(failures=counts, exposure=exposures, confidence=confidences)
def test_limits_bracket_the_rate(failures: int, exposure: float, confidence: float) -> None:
    found = rates.failure_rate(failures, exposure, confidence=confidence)
    assert found.low <= found.rate < found.high
    assert (found.low == 0) == (failures == 0)


@few
@given(failures=counts, exposure=exposures, confidence=confidences)
def test_each_tail_holds_half_of_what_the_interval_leaves(
    failures: int, exposure: float, confidence: float
) -> None:
    # What makes limits exact, asked of the Poisson distribution itself (SciPy).
    found = rates.failure_rate(failures, exposure, confidence=confidence)
    tail = (1 - confidence) / 2
    assert stats.poisson.cdf(failures, found.high * exposure) == pytest.approx(tail, rel=1e-6)
    if failures:
        at_low = stats.poisson.sf(failures - 1, found.low * exposure)
        assert at_low == pytest.approx(tail, rel=1e-6)


@few
@given(failures=counts, exposure=exposures, confidence=confidences)
def test_limits_are_the_chi_square_ones(failures: int, exposure: float, confidence: float) -> None:
    # The textbook form, by SciPy's chi-square quantiles.
    found = rates.failure_rate(failures, exposure, confidence=confidence)
    high = stats.chi2.ppf((1 + confidence) / 2, 2 * failures + 2) / (2 * exposure)
    assert found.high == pytest.approx(high, rel=1e-9)
    if failures:
        low = stats.chi2.ppf((1 - confidence) / 2, 2 * failures) / (2 * exposure)
        assert found.low == pytest.approx(low, rel=1e-9)


@few
@given(failures=counts, exposure=exposures, confidence=confidences)
def test_more_failures_raise_and_more_exposure_lowers_both_limits(
    failures: int, exposure: float, confidence: float
) -> None:
    found = rates.failure_rate(failures, exposure, confidence=confidence)
    worse = rates.failure_rate(failures + 1, exposure, confidence=confidence)
    longer = rates.failure_rate(failures, 2 * exposure, confidence=confidence)
    assert worse.low > found.low
    assert worse.high > found.high
    assert longer.low <= found.low
    assert longer.high < found.high


@few
@given(failures=counts, exposure=exposures, confidence=st.floats(0.05, 0.9))
def test_more_confidence_never_narrows_the_interval(
    failures: int, exposure: float, confidence: float
) -> None:
    found = rates.failure_rate(failures, exposure, confidence=confidence)
    wider = rates.failure_rate(failures, exposure, confidence=confidence + 0.05)
    assert wider.low <= found.low
    assert wider.high > found.high


@few
@given(failures=st.integers(1, 400), exposure=exposures, confidence=confidences)
def test_mean_time_is_the_rate_turned_over(
    failures: int, exposure: float, confidence: float
) -> None:
    rate = rates.failure_rate(failures, exposure, confidence=confidence)
    mean = rates.mean_time(failures, exposure, confidence=confidence)
    assert mean.mean is not None
    assert mean.high is not None
    assert mean.low < mean.mean <= mean.high
    assert mean.low * rate.high == pytest.approx(1)
    assert mean.high * rate.low == pytest.approx(1)


@few
@given(failures=counts, exposure=exposures, confidence=confidences)
def test_jeffreys_limits_lie_within_the_exact_ones(
    failures: int, exposure: float, confidence: float
) -> None:
    exact = rates.failure_rate(failures, exposure, confidence=confidence)
    low, high = rates.jeffreys_limits(failures, exposure, confidence=confidence)
    assert exact.low <= low < high <= exact.high
