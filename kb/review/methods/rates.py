"""How often something fails per time exposed, with exact limits.

A log read at a review day is time-terminated, so r failures in an exposure T have the exact
two-sided limits chi2(alpha/2, 2r)/2T and chi2(1-alpha/2, 2r+2)/2T with alpha = 1 - confidence
(Garwood 1936; NIST/SEMATECH e-Handbook 8.4.5.1 for the reciprocals). A chi-square quantile with
2k degrees of freedom is twice the gamma quantile of shape k, which is how it is computed here.

All of it assumes a rate that is constant over the exposure: not for gear that wears out or gets
better, nor for a mix of models with different rates.
"""

from dataclasses import dataclass
from math import floor, isfinite, log10

from scipy.special import gammainccinv, gammaincinv

from kb.errors import InvalidError, Problem

CONFIDENCE = 0.90
DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class Rate:
    """Failures per unit of exposure.

    Attributes:
        failures: How many were counted.
        exposure: The time exposed, in the unit the rate is per.
        confidence: Of the two-sided interval from `low` to `high`.
        rate: Failures over exposure.
        low: The lower limit; 0 without a failure.
        high: The upper limit.
    """

    failures: int
    exposure: float
    confidence: float
    rate: float
    low: float
    high: float


@dataclass(frozen=True)
class MeanTime:
    """Mean elapsed time between failures (ISO 14224: calendar time, down time included).

    Attributes:
        failures: How many were counted.
        exposure: The time exposed; `mean`, `low` and `high` are in its unit.
        confidence: Of the two-sided interval from `low` to `high`.
        mean: Exposure over failures; None without a failure, never 'infinite'.
        low: The lower limit; without a failure NIST's zero-fails rule, exposure / -ln(a), with
            a = (1 - confidence) / 2, so that it is the reciprocal of the rate's upper limit.
        high: The upper limit; None without a failure, since there is none.
    """

    failures: int
    exposure: float
    confidence: float
    mean: float | None
    low: float
    high: float | None


def failure_rate(failures: int, exposure: float, *, confidence: float = CONFIDENCE) -> Rate:
    """Return the rate per unit of exposure with its exact two-sided limits.

    Args:
        failures: How many were counted.
        exposure: The sum over all units, above zero, in any unit of time.
        confidence: Of the two-sided interval, between 0 and 1.

    Raises:
        InvalidError: For a count below zero, no exposure, or no such confidence.
    """
    _check(failures, exposure, confidence)
    low, high = _expected_counts(failures, confidence)
    rate = failures / exposure
    return Rate(failures, exposure, confidence, rate, low / exposure, high / exposure)


def yearly_rate(failures: int, unit_days: float, *, confidence: float = CONFIDENCE) -> Rate:
    """Return the rate per unit and year of 365.25 days.

    Args:
        failures: How many were counted.
        unit_days: The sum of the days that each unit was exposed, above zero.
        confidence: Of the two-sided interval, between 0 and 1.

    Raises:
        InvalidError: As for `failure_rate`.
    """
    return failure_rate(failures, unit_days / DAYS_A_YEAR, confidence=confidence)


def mean_time(failures: int, exposure: float, *, confidence: float = CONFIDENCE) -> MeanTime:
    """Return the mean elapsed time between failures with its exact two-sided limits.

    Args:
        failures: How many were counted.
        exposure: The sum over all units, above zero, in any unit of time.
        confidence: Of the two-sided interval, between 0 and 1.

    Raises:
        InvalidError: As for `failure_rate`.
    """
    _check(failures, exposure, confidence)
    fewest, most = _expected_counts(failures, confidence)
    mean = exposure / failures if failures else None
    high = exposure / fewest if failures else None
    return MeanTime(failures, exposure, confidence, mean, exposure / most, high)


def jeffreys_limits(
    failures: int, exposure: float, *, confidence: float = CONFIDENCE
) -> tuple[float, float]:
    """Return the equal-tailed limits of the rate under Jeffreys' prior, for small samples.

    The posterior is Gamma(failures + 1/2, exposure); narrower than the exact limits, which
    cover at least what they promise.

    Args:
        failures: How many were counted.
        exposure: The sum over all units, above zero, in any unit of time.
        confidence: Of the two-sided interval, between 0 and 1.

    Raises:
        InvalidError: As for `failure_rate`.
    """
    _check(failures, exposure, confidence)
    tail = (1 - confidence) / 2
    shape = failures + 0.5
    return (
        float(gammaincinv(shape, tail)) / exposure,
        float(gammainccinv(shape, tail)) / exposure,
    )


def in_words(failures: int, unit_days: float, *, confidence: float = CONFIDENCE) -> str:
    """Return the yearly rate as a sentence that names its sample and its bound.

    Args:
        failures: How many were counted.
        unit_days: The sum of the days that each unit was exposed, above zero.
        confidence: Of the two-sided interval, between 0 and 1.

    Raises:
        InvalidError: As for `failure_rate`.
    """
    found = yearly_rate(failures, unit_days, confidence=confidence)
    days = f"{unit_days:,.0f} unit-days"
    two_sided = f"two-sided {percent(confidence)} interval"
    if failures:
        counted = f"{failures:,} failure{'s' if failures > 1 else ''} in {days}"
        limits = f"{_figure(found.low)} to {_figure(found.high)}"
        return f"{counted}: {_figure(found.rate)} a unit and year ({two_sided} {limits})."
    one_sided = percent((1 + confidence) / 2)
    return (
        f"No failure in {days}: below {_figure(found.high)} a unit and year (upper limit of the "
        f"{two_sided}, the same as the one-sided {one_sided} bound)."
    )


def _expected_counts(failures: int, confidence: float) -> tuple[float, float]:
    """Return the expected counts between which the true one lies (Garwood's exact limits).

    The gamma quantile of shape 0 does not exist: without a failure the lower limit is 0.
    """
    tail = (1 - confidence) / 2
    low = float(gammaincinv(failures, tail)) if failures else 0.0
    return low, float(gammainccinv(failures + 1, tail))


def _figure(value: float) -> str:
    """Return a number above zero with three significant digits, never in powers of ten."""
    digits = max(0, 2 - floor(log10(value)))
    text = f"{value:,.{digits}f}"
    return text.rstrip("0").rstrip(".") if digits else text


def percent(share: float) -> str:
    """Return a share as a percentage without needless digits."""
    return f"{100 * share:.10g} %"


def _check(failures: int, exposure: float, confidence: float) -> None:
    """Refuse what no rate can be made of.

    Raises:
        InvalidError: Naming every value that is wrong.
    """
    problems: list[Problem] = []
    if failures < 0:
        problems.append(Problem("failures", f"{failures} is below zero. Count again."))
    if not (isfinite(exposure) and exposure > 0):
        message = f"{exposure:g} is no time exposed. Leave out a group that was not in use."
        problems.append(Problem("exposure", message))
    if not 0 < confidence < 1:
        message = f"{confidence:g} is not between 0 and 1. Give 0.9 for 90 %."
        problems.append(Problem("confidence", message))
    if problems:
        raise InvalidError(problems)
