"""Which figure is shown of which data, and in which words another one is withheld.

Without a failure there is a bound and no mean; with fewer than five no trend, no law of lives
and no availability is told; things that are repaired get a trend and a mean cumulative
function, things that are not a survival curve and a Weibull law. A mean time between failures
needs a rate that is constant. Common practice, no source; the reasons stand beside each method.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.review.methods import rates

ENOUGH = 5
SIGNIFICANT = 0.10
NOT_REPAIRED = frozenset({"battery", "cable", "connector-adapter", "drive"})
_TWO = 2


class Figure(StrEnum):
    """What can be said of failures."""

    EXPOSURE = "exposure"
    BOUND = "upper bound of the rate"
    RATE = "failure rate"
    SHRUNK = "shrunk rate"
    MEAN_TIME = "mean elapsed time between failures"
    TREND = "trend"
    CUMULATIVE = "mean cumulative function"
    SURVIVAL = "survival curve"
    WEIBULL = "Weibull law"
    AVAILABILITY = "availability at show time"
    RATIO = "ratio of two rates"
    CURVES_COMPARED = "two cumulative curves compared"
    RANKING = "ranking by the lower limit of the shrunk rate"


@dataclass(frozen=True)
class Sample:
    """What is known of one group of units.

    Attributes:
        failures: How many count.
        unit_days: For how long its units were exposed, all together.
        units: How many were exposed.
        repaired: Its units are repaired, not replaced.
        trend_p: Two-sided, that there is no trend; None where none was tested.
        groups: How many groups it's compared with, itself among them.
        repeats: Some unit failed more than once.
    """

    failures: int
    unit_days: int
    units: int
    repaired: bool
    trend_p: float | None = None
    groups: int = 1
    repeats: bool = False


@dataclass(frozen=True)
class Choice:
    """What is shown of a sample.

    Attributes:
        shown: The figures, in the order in which they're read.
        withheld: Figure -> why it isn't shown, a sentence.
    """

    shown: tuple[Figure, ...]
    withheld: Mapping[Figure, str]


def is_repaired(equipment_class: str, most_failures: int) -> bool:
    """Return whether units are taken as repaired.

    Args:
        equipment_class: The class of their model; empty where none is known.
        most_failures: Of any one unit. What failed twice was not replaced after the first.
    """
    return equipment_class not in NOT_REPAIRED or most_failures > 1


def choose(sample: Sample) -> Choice:
    """Return which figures are shown of a sample, and why the others aren't."""
    if not sample.unit_days:
        none = "No unit was exposed in this time."
        return Choice((), dict.fromkeys(Figure, none))
    withheld: dict[Figure, str] = {}
    for figure in Figure:
        why = _why_not(figure, sample)
        if why:
            withheld[figure] = why
    return Choice(tuple(one for one in Figure if one not in withheld), withheld)


def line(figure: Figure, sample: Sample, since: date, until: date, *, confidence: float) -> str:
    """Return the line below a figure: what it is, of what, when, and with which limits.

    Args:
        figure: What is shown.
        sample: What it rests on.
        since: The first day looked at.
        until: The day after the last.
        confidence: Of its two-sided interval.
    """
    failures = f"{sample.failures} failure{'' if sample.failures == 1 else 's'}"
    units = f"{sample.units} unit{'' if sample.units == 1 else 's'}"
    share = rates.percent(confidence)
    return (
        f"{_DEFINED[figure]} {failures}, {units}, {sample.unit_days:,} unit-days, {since} up to, "
        f"not including, {until}; two-sided {share}."
    )


def _why_not(figure: Figure, sample: Sample) -> str:
    """Return why a figure isn't shown, or nothing."""
    if figure is Figure.EXPOSURE:
        return ""
    if not sample.failures:
        return _without_failure(figure, sample)
    if figure is Figure.BOUND:
        return "There are failures: the rate has two limits."
    if sample.failures < ENOUGH and figure in _FROM_FIVE:
        return f"{sample.failures} of the {ENOUGH} failures that it takes."
    return _by_kind(figure, sample) or _by_groups(figure, sample)


def _without_failure(figure: Figure, sample: Sample) -> str:
    if figure is Figure.BOUND:
        return ""
    if figure in (Figure.SHRUNK, Figure.RANKING, Figure.RATIO):
        return _by_groups(figure, sample)
    return "No failure: there is an upper bound of the rate and nothing else."


def _by_kind(figure: Figure, sample: Sample) -> str:
    if figure in (Figure.SURVIVAL, Figure.WEIBULL) and sample.repaired:
        return "Its units are repaired: see the mean cumulative function."
    if figure in (Figure.CUMULATIVE, Figure.TREND, Figure.CURVES_COMPARED) and not sample.repaired:
        return "Its units are not repaired: see the survival curve."
    if figure is Figure.MEAN_TIME and not sample.repaired:
        return "Its units are not repaired: a thing that fails once has no time between failures."
    if figure is Figure.MEAN_TIME and _trends(sample):
        return "The rate isn't constant: a mean would hide the trend."
    return ""


def _by_groups(figure: Figure, sample: Sample) -> str:
    alone = "There is nothing to compare it with."
    if figure in (Figure.SHRUNK, Figure.RANKING, Figure.RATIO) and sample.groups < _TWO:
        return alone
    if figure is Figure.CURVES_COMPARED and sample.groups < _TWO:
        return alone
    if figure is Figure.CURVES_COMPARED and not (_trends(sample) or sample.repeats):
        return "No trend and no repeats: the ratio of the rates says it exactly."
    return ""


def _trends(sample: Sample) -> bool:
    return sample.trend_p is not None and sample.trend_p < SIGNIFICANT


_FROM_FIVE = frozenset(
    {
        Figure.MEAN_TIME,
        Figure.TREND,
        Figure.CUMULATIVE,
        Figure.SURVIVAL,
        Figure.WEIBULL,
        Figure.AVAILABILITY,
        Figure.CURVES_COMPARED,
    }
)
_DEFINED = {
    Figure.EXPOSURE: "Days in service, spares, loans and repair counted, time set aside not.",
    Figure.BOUND: "Upper limit of the failures per unit and year of 365.25 days.",
    Figure.RATE: "Failures per unit and year of 365.25 days, exact limits, rate constant.",
    Figure.SHRUNK: "Rate drawn towards the class's, gamma-Poisson, credible limits.",
    Figure.MEAN_TIME: "Exposure over failures, down time counted, exact limits, rate constant.",
    Figure.TREND: "Laplace and MIL-HDBK-189 on the units' ages.",
    Figure.CUMULATIVE: "Failures a unit has had by an age, Nelson, robust limits.",
    Figure.SURVIVAL: "Share that outlasts an age, Kaplan and Meier, log-log limits.",
    Figure.WEIBULL: "Law of lives by maximum likelihood, limits by profile likelihood.",
    Figure.AVAILABILITY: "Share of shows without an open fault, exact limits.",
    Figure.RATIO: "Exact conditional limits, p central and adjusted by Holm.",
    Figure.CURVES_COMPARED: "Pseudo-score test of Cook, Lawless and Nadeau.",
    Figure.RANKING: "By the lower limit of the shrunk rate, never by the raw rate.",
}
