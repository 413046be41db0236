"""How often something worked, of how many tries: exact, Wilson and Jeffreys limits.

For ranking fixes use the lower limit, so that 1 of 1 doesn't beat 18 of 20. A try still inside
its hold time is pending: neither a success nor a failure. Ten tries on one bad unit are not ten
tries.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from scipy.special import betaincinv, ndtri

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE

Limits = tuple[float, float]


@dataclass(frozen=True)
class Success:
    """Successes among tries.

    Attributes:
        successes: How many worked and held.
        tries: How many have a verdict.
        pending: How many worked and are too young to count; in neither of the above.
        share: successes / tries; None where nothing has a verdict, never a made-up half.
        low: Lower limit, Jeffreys'; 0 where nothing is known.
        high: Upper limit; 1 where nothing is known.
        confidence: Of the two-sided interval.
    """

    successes: int
    tries: int
    pending: int
    share: float | None
    low: float
    high: float
    confidence: float


def success(
    successes: int, tries: int, *, pending: int = 0, confidence: float = CONFIDENCE
) -> Success:
    """Return how often something worked, pending tries apart.

    Args:
        successes: How many worked and held.
        tries: How many have a verdict; may be 0.
        pending: How many have none yet.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: More successes than tries, a count below zero, or no such confidence.
    """
    inputs.count("pending", pending)
    if tries == 0 and successes == 0:
        inputs.confidence(confidence)
        return Success(0, 0, pending, None, 0.0, 1.0, confidence)
    low, high = jeffreys(successes, tries, confidence=confidence)
    return Success(successes, tries, pending, successes / tries, low, high, confidence)


def ranked(found: Sequence[Success]) -> tuple[int, ...]:
    """Return the places of the successes in order of their lower limits, the best first.

    Args:
        found: What to rank; among equals the one with more tries leads, then the earlier one.
    """
    return tuple(sorted(range(len(found)), key=lambda at: (-found[at].low, -found[at].tries, at)))


def jeffreys(successes: int, tries: int, *, confidence: float = CONFIDENCE) -> Limits:
    """Return the equal-tailed limits of Beta(s + 1/2, n - s + 1/2).

    Without a success the lower one is 0, without a failure the upper one 1 (Brown, Cai and
    DasGupta 2001).

    Args:
        successes: How many worked.
        tries: Of how many, at least 1.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: More successes than tries, no try, or no such confidence.
    """
    s, n, tail = _given(successes, tries, confidence)
    low = float(betaincinv(s + 0.5, n - s + 0.5, tail)) if s else 0.0
    return low, float(betaincinv(s + 0.5, n - s + 0.5, 1 - tail)) if s < n else 1.0


def exact(successes: int, tries: int, *, confidence: float = CONFIDENCE) -> Limits:
    """Return the limits of Clopper and Pearson, which cover at least what they promise.

    Args:
        successes: How many worked.
        tries: Of how many, at least 1.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: As for `jeffreys`.
    """
    s, n, tail = _given(successes, tries, confidence)
    low = float(betaincinv(s, n - s + 1, tail)) if s else 0.0
    return low, float(betaincinv(s + 1, n - s, 1 - tail)) if s < n else 1.0


def wilson(successes: int, tries: int, *, confidence: float = CONFIDENCE) -> Limits:
    """Return the score limits of Wilson (1927), without a correction for continuity.

    Args:
        successes: How many worked.
        tries: Of how many, at least 1.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: As for `jeffreys`.
    """
    s, n, tail = _given(successes, tries, confidence)
    z = float(ndtri(1 - tail))
    centre = (s + z**2 / 2) / (n + z**2)
    half = z / (n + z**2) * sqrt(s * (n - s) / n + z**2 / 4)
    return max(0.0, centre - half), min(1.0, centre + half)


def _given(successes: int, tries: int, confidence: float) -> tuple[int, int, float]:
    s, n = inputs.count("successes", successes), inputs.count("tries", tries)
    if n == 0 or s > n:
        raise inputs.refused("tries", f"{s} of {n} is no share. Say 'not tried' where none was.")
    return s, n, (1 - inputs.confidence(confidence)) / 2
