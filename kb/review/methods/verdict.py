"""What can be said of two rates in words, and what would settle it where nothing can.

The words are ours: clearly worse or better where the adjusted central p is at most 1 less the
confidence; too early where both together have fewer than five failures; else no evidence either
way, which isn't evidence that they are alike.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from kb.review.methods import inputs, rates, ratios
from kb.review.methods.choice import FOR_A_VERDICT
from kb.review.methods.rates import CONFIDENCE
from kb.review.methods.ratios import RateRatio

WORSE, BETTER = "clearly worse", "clearly better"
NO_EVIDENCE, TOO_EARLY = "no evidence either way", "too early"
_STEP, _MOST = 15, 3653


@dataclass(frozen=True)
class Group:
    """Failures of a group in an exposure, and how many of its units go on.

    Attributes:
        failures: Counted.
        unit_days: Exposed.
        going_on: Units that add a day each day from now on.
    """

    failures: int
    unit_days: float
    going_on: int = 0


@dataclass(frozen=True)
class Verdict:
    """What can be said of the first group against the second.

    Attributes:
        word: One of the four above.
        ratio: Of the first rate over the second.
        p: Central, adjusted where several pairs were compared.
        settled_in: Days after which the test would decide, if both went on failing as they
            did; None where it decides already, or wouldn't within ten years.
        soonest: The sooner one of the same days at the limits of the rates.
        latest: The later one; None where one of them isn't within ten years.
    """

    word: str
    ratio: RateRatio
    p: float
    settled_in: int | None
    soonest: int | None = None
    latest: int | None = None


def judge(
    pairs: Sequence[tuple[Group, Group]], *, confidence: float = CONFIDENCE
) -> tuple[Verdict, ...]:
    """Return a verdict on each pair, p-values adjusted by Holm for their number.

    Args:
        pairs: The groups, each with exposure.
        confidence: Of the intervals; what it leaves is what p must reach.

    Raises:
        InvalidError: No exposure, a count below zero, or no such confidence.
    """
    found = [
        ratios.rate_ratio(
            one.failures, one.unit_days, other.failures, other.unit_days, confidence=confidence
        )
        for one, other in pairs
    ]
    adjusted = ratios.holm([one.p for one in found])
    return tuple(
        _verdict(pair, ratio, p, len(pairs))
        for pair, ratio, p in zip(pairs, found, adjusted, strict=True)
    )


def settled_in(
    one: Group,
    other: Group,
    *,
    rates_then: tuple[float, float] | None = None,
    confidence: float = CONFIDENCE,
    pairs: int = 1,
) -> int | None:
    """Return after how many days the test would decide, if both failed on as they did.

    Args:
        one: The first group.
        other: The second.
        rates_then: Failures per unit-day from now on; those seen so far by default.
        confidence: What it leaves is what p must reach.
        pairs: How many are compared; each must reach that much less.
    """
    inputs.confidence(confidence)
    if not one.going_on + other.going_on:
        return None
    then = rates_then or (one.failures / one.unit_days, other.failures / other.unit_days)
    for days in range(_STEP, _MOST, _STEP):
        counts = [
            _by_then(group, rate, days) for group, rate in zip((one, other), then, strict=True)
        ]
        p = ratios.rate_ratio(*counts[0], *counts[1]).p
        if p * pairs <= 1 - confidence:
            return days
    return None


def _by_then(group: Group, rate: float, days: int) -> tuple[int, float]:
    more = days * group.going_on
    return group.failures + round(rate * more), group.unit_days + more


def _verdict(pair: tuple[Group, Group], ratio: RateRatio, p: float, pairs: int) -> Verdict:
    one, other = pair
    if p <= 1 - ratio.confidence:
        worse = ratio.ratio is None or ratio.ratio > 1
        return Verdict(WORSE if worse else BETTER, ratio, p, None)
    early = one.failures + other.failures < FOR_A_VERDICT
    limits = [
        rates.failure_rate(each.failures, each.unit_days, confidence=ratio.confidence)
        for each in pair
    ]
    thens = (None, (limits[0].high, limits[1].low), (limits[0].low, limits[1].high))
    days, *ends = (
        settled_in(one, other, rates_then=then, confidence=ratio.confidence, pairs=pairs)
        for then in thens
    )
    known = [each for each in ends if each is not None]
    latest = max(known) if len(known) == len(ends) else None
    word = TOO_EARLY if early else NO_EVIDENCE
    return Verdict(word, ratio, p, days, min(known, default=None), latest)
