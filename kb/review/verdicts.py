"""Pairs of models compared, with a verdict in words and what would settle it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import combinations

from kb.review.methods import rates, ratios
from kb.review.methods.choosing import ENOUGH
from kb.review.methods.ratios import RateRatio

_MONTHS = 120
_MONTH = rates.DAYS_A_YEAR / 12


class Verdict(StrEnum):
    """What a comparison comes to."""

    WORSE = "clearly worse"
    NONE = "no evidence either way"
    EARLY = "too early"


@dataclass(frozen=True)
class Side:
    """One of those compared.

    Attributes:
        name: What it's called.
        failures: How many count.
        unit_days: For how long its units were exposed, all together, above zero.
        in_use: How many of its units are in use now.
    """

    name: str
    failures: int
    unit_days: int
    in_use: int

    @property
    def yearly(self) -> float:
        """Failures a unit and year to be expected of it: Jeffreys' mean, never zero."""
        return (self.failures + 0.5) / self.unit_days * rates.DAYS_A_YEAR


@dataclass(frozen=True)
class Compared:
    """Two of them compared, the one with the higher rate first.

    Attributes:
        worse: The one with the higher rate.
        better: The other.
        ratio: Of their rates, with exact limits.
        p: Central, adjusted for all the pairs that were compared (Holm).
        pairs: How many these were.
        verdict: What it comes to.
        words: The verdict as a sentence, with its sample and limits.
        settles: What would settle it, and by when; empty where it is settled.
    """

    worse: Side
    better: Side
    ratio: RateRatio
    p: float
    pairs: int
    verdict: Verdict
    words: str
    settles: str


def compare(sides: Sequence[Side], until: date, *, confidence: float) -> tuple[Compared, ...]:
    """Return each pair compared, what is clear first.

    Args:
        sides: Those to compare, each exposed for a time.
        until: The day after the last one looked at: from it on the forecast runs.
        confidence: Of each two-sided interval; a verdict needs an adjusted p of 1 minus it.
    """
    ordered = sorted(sides, key=lambda one: (-one.failures / one.unit_days, one.name))
    pairs = list(combinations(ordered, 2))
    found = [
        ratios.rate_ratio(a.failures, a.unit_days, b.failures, b.unit_days, confidence=confidence)
        for a, b in pairs
    ]
    adjusted = ratios.holm([one.p for one in found])
    made = [
        _compared(a, b, ratio, p, len(pairs), until)
        for (a, b), ratio, p in zip(pairs, found, adjusted, strict=True)
    ]
    return tuple(sorted(made, key=lambda one: (one.p, one.worse.name, one.better.name)))


def _compared(
    worse: Side, better: Side, ratio: RateRatio, p: float, pairs: int, until: date
) -> Compared:
    wanted = 1 - ratio.confidence
    verdict = _verdict(worse, better, p, wanted)
    settles = "" if verdict is Verdict.WORSE else _settles(worse, better, wanted / pairs, until)
    words = _words(verdict, worse, better, ratio, p, pairs)
    return Compared(worse, better, ratio, p, pairs, verdict, words, settles)


def _verdict(worse: Side, better: Side, p: float, wanted: float) -> Verdict:
    if p <= wanted:
        return Verdict.WORSE
    if worse.failures + better.failures < ENOUGH or not better.failures:
        return Verdict.EARLY
    return Verdict.NONE


def _words(
    verdict: Verdict, worse: Side, better: Side, ratio: RateRatio, p: float, pairs: int
) -> str:
    seen = f"{_seen(worse)} against {_seen(better)}; {_limits(ratio, pairs)}; {_p(p, pairs)}"
    if verdict is Verdict.WORSE:
        return f"{worse.name} is clearly worse than {better.name}: {seen}."
    if verdict is Verdict.EARLY:
        return f"Too early to tell {worse.name} from {better.name}: {seen}."
    return f"No evidence either way between {worse.name} and {better.name}: {seen}."


def _seen(side: Side) -> str:
    count = f"{side.failures} failure{'' if side.failures == 1 else 's'}"
    return f"{count} in {side.unit_days:,} unit-days"


def _limits(ratio: RateRatio, pairs: int) -> str:
    share = f"two-sided {rates.percent(ratio.confidence)}" + (
        ", not adjusted" if pairs > 1 else ""
    )
    low = rates.figure(ratio.low) if ratio.low else "0"
    if ratio.ratio is None or ratio.high is None:
        return f"the ratio of the rates is above {low} ({share}, no upper limit)"
    if not ratio.ratio:
        return f"neither rate is above the other, limit {rates.figure(ratio.high)} ({share})"
    middle, high = rates.figure(ratio.ratio), rates.figure(ratio.high)
    return f"the ratio of the rates is {middle} ({share} {low} to {high})"


def _p(p: float, pairs: int) -> str:
    told = f"p {p:.3f}" if p >= 0.0005 else "p below 0.001"  # noqa: PLR2004 - three digits
    return f"{told}, adjusted for {pairs} comparisons" if pairs > 1 else told


def _settles(worse: Side, better: Side, wanted: float, until: date) -> str:
    """Return by when it would be told if both go on as they did."""
    if not worse.in_use and not better.in_use:
        return "Nothing: neither has a unit in use any more."
    for month in range(1, _MONTHS + 1):
        a, b = _ahead(worse, month), _ahead(better, month)
        found = ratios.rate_ratio(a.failures, a.unit_days, b.failures, b.unit_days)
        if found.p <= wanted and found.ratio != 0:
            when = until + timedelta(days=month * _MONTH)
            return (
                f"If both go on as they did, {month} more month{'' if month == 1 else 's'}, till "
                f"about {when:%Y-%m}, with {a.failures - worse.failures} and "
                f"{b.failures - better.failures} more failures; a forecast, not a promise."
            )
    return "Not within ten years at this pace: let price, room and liking decide."


def _ahead(side: Side, months: int) -> Side:
    """Return a side after some months at its pace."""
    days = round(side.in_use * months * _MONTH)
    more = int(side.yearly * days / rates.DAYS_A_YEAR)
    return Side(side.name, side.failures + more, side.unit_days + days, side.in_use)
