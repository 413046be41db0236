"""Which figures data can carry, and why another one isn't shown.

Decided by counts alone and by the trend test, so that nobody picks the method that flatters.
The thresholds are ours, common practice, no source; below them a sentence stands in the place
of a number.
"""

from dataclasses import dataclass
from enum import StrEnum

from kb.review.methods import inputs

FOR_A_VERDICT = 5
TREND_P = 0.10
_PAIR = 2


class Figure(StrEnum):
    """A figure of the review."""

    EXPOSURE = "exposure"
    BOUND = "upper limit of the rate"
    RATE = "rate"
    MEAN_TIME = "mean elapsed time between failures"
    SHRUNK = "shrunk rate"
    TREND = "trend"
    POWER_LAW = "power law"
    CUMULATIVE = "mean cumulative function"
    SURVIVAL = "survival curve"
    WEIBULL = "Weibull law"
    STEADY_AVAILABILITY = "steady-state availability"
    RATIO = "ratio of rates"
    CURVES_TEST = "comparison of mean cumulative functions"
    LOG_RANK = "log-rank test"
    RAW_RANKING = "ranking by the raw rate"


@dataclass(frozen=True)
class Data:
    """What there is, as far as the choice of a method goes.

    Attributes:
        failures: Counted, all groups together.
        unit_days: Exposed, all groups together.
        units: Exposed.
        repaired: Whether a unit that failed goes on; cables and drives are replaced.
        groups: How many models (or batches, or places) stand side by side.
        ages: At how many different ages failures lie.
        repeats: Whether a unit failed more than once.
        trend_p: Two-sided p of the trend test; None where it wasn't made.
    """

    failures: int
    unit_days: float
    units: int
    repaired: bool
    groups: int = 1
    ages: int = 0
    repeats: bool = False
    trend_p: float | None = None

    @property
    def trend(self) -> bool:
        """Whether the trend test rejects a constant rate."""
        return self.trend_p is not None and self.trend_p < TREND_P


@dataclass(frozen=True)
class NotShown:
    """A figure that isn't shown, and why."""

    figure: Figure
    reason: str


@dataclass(frozen=True)
class Plan:
    """What to show, and what not."""

    shown: tuple[Figure, ...]
    not_shown: tuple[NotShown, ...]

    def why_not(self, figure: Figure) -> str | None:
        """Return why a figure isn't shown; None where it is, or was never asked for."""
        return next((one.reason for one in self.not_shown if one.figure == figure), None)


def decide(data: Data) -> Plan:
    """Return which figures the data can carry.

    Args:
        data: What there is.

    Raises:
        InvalidError: A count below zero.
    """
    inputs.count("failures", data.failures)
    if data.unit_days <= 0:
        reason = "no unit was exposed in this window"
        others = [one for one in Figure if one != Figure.EXPOSURE]
        return Plan((Figure.EXPOSURE,), tuple(NotShown(one, reason) for one in others))
    reasons = {figure: _reason(figure, data) for figure in Figure}
    return Plan(
        tuple(figure for figure, reason in reasons.items() if reason is None),
        tuple(NotShown(figure, reason) for figure, reason in reasons.items() if reason),
    )


def _reason(figure: Figure, data: Data) -> str | None:
    """Return why a figure isn't shown; None where it is."""
    if figure == Figure.EXPOSURE:
        return None
    if figure == Figure.BOUND:
        return None if not data.failures else "there are failures, so the rate itself is shown"
    if not data.failures:
        return _without_failures(figure, data)
    if figure in _OF_GROUPS:
        return _of_groups(figure, data)
    return _of_one(figure, data)


_OF_GROUPS = frozenset(
    {Figure.SHRUNK, Figure.RATIO, Figure.CURVES_TEST, Figure.LOG_RANK, Figure.RAW_RANKING}
)
_OF_REPAIRED = frozenset({Figure.TREND, Figure.POWER_LAW, Figure.CUMULATIVE, Figure.CURVES_TEST})
_OF_REPLACED = frozenset({Figure.SURVIVAL, Figure.WEIBULL, Figure.LOG_RANK})
_REPLACED = "these are replaced and not repaired"
_REPAIRED = "these are repaired and go on; it would be read off the times between repairs"


def _without_failures(figure: Figure, data: Data) -> str | None:
    if figure == Figure.SHRUNK and data.groups >= _PAIR:
        return None
    return "without a failure there is none"


def _of_one(figure: Figure, data: Data) -> str | None:
    if figure == Figure.RATE:
        return None
    kind = _wrong_kind(figure, data)
    if figure == Figure.STEADY_AVAILABILITY:
        return "gear used a few hours a week is judged at show time"
    if figure == Figure.MEAN_TIME:
        return "the rate isn't constant: the trend test rejects it" if data.trend else kind
    return kind or _too_few(figure, data)


def _wrong_kind(figure: Figure, data: Data) -> str | None:
    if figure in _OF_REPAIRED and not data.repaired:
        return _REPLACED
    if figure in _OF_REPLACED and data.repaired:
        return _REPAIRED
    return None


def _too_few(figure: Figure, data: Data) -> str | None:
    if data.failures < FOR_A_VERDICT:
        return f"{data.failures} of the {FOR_A_VERDICT} failures that it needs"
    if figure == Figure.WEIBULL and data.ages < _PAIR:
        return "all failures lie at one age"
    if figure == Figure.CUMULATIVE and data.units < _PAIR:
        return "one unit alone has no spread to state limits from"
    return None


def _of_groups(figure: Figure, data: Data) -> str | None:
    if data.groups < _PAIR:
        return "there is only one group"
    if figure == Figure.SHRUNK:
        return None
    if figure == Figure.RAW_RANKING:
        return "a few failures in little time would lead it; the shrunk list is ranked instead"
    if figure == Figure.RATIO:
        return None
    reason = _wrong_kind(figure, data) or _too_few(figure, data)
    if figure == Figure.CURVES_TEST and not (reason or data.trend or data.repeats):
        return "no trend and no unit that failed twice: the ratio of rates says it all"
    return reason
