"""Whether an entry listed is likely to be an answer at all, and how far the first is ahead.

Two figures of the first entry decide. Its coverage is the share of the query that it speaks of:
it carries short queries. Its strength is its score in units of the rarity of an unknown word, so
that it keeps its scale while the base grows: it carries long ones. A logistic curve makes them
one probability; its weights and the threshold were chosen by `tests/bench/calibration.py`, by
cross-validation over topics on queries with and without an answer.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.search import ranking
from kb.search.asking import MEANING_WEIGHT, Asked

WEIGHTS = (-2.72, 4.91, 2.35)  # of one, of the coverage, of the strength's logarithm
THRESHOLD = 0.78
_AT_LEAST = 0.2  # added to a strength, so that none has a logarithm too
_HALF = (
    0.5  # how often a word stands in an entry that speaks of it half: once in its steps is less
)


@dataclass(frozen=True)
class Evidence:
    """How well a document answers a query.

    Attributes:
        coverage: The share of the query that it speaks of, 0 to 1.
        strength: Its score, in units of the rarity of an unknown word.
    """

    coverage: float
    strength: float

    @property
    def probability(self) -> float:
        """How likely the answer is to be among what is listed."""
        one, coverage, strength = WEIGHTS
        told = coverage * self.coverage + strength * math.log(_AT_LEAST + self.strength)
        return 1 / (1 + math.exp(-one - told))


NONE = Evidence(0.0, 0.0)


def evidence(coverage: float, score: float, count: int) -> Evidence:
    """Return how well a document answers.

    Args:
        coverage: The share of the query that it speaks of.
        score: Its score.
        count: How many documents there are.
    """
    return Evidence(coverage, score / ranking.rarity(count, 0)) if score > 0 else NONE


def confident(first: Evidence) -> bool:
    """Return whether an entry listed is likely to be the answer.

    Args:
        first: How well the first one answers.
    """
    return first != NONE and first.probability >= THRESHOLD


def coverage(asked: Asked, rarity: Mapping[str, float], holds: Mapping[str, float]) -> float:
    """Return the share of a query that a document speaks of, 0 to 1.

    Args:
        asked: The query. Each word counts once, as much as the rarest of its terms; a compound's
            whole is rarer than its parts: a part that is held stands for the word. A word whose
            meaning alone is held counts as much as it is near to it.
        rarity: Term to its inverse document frequency, unknown terms included.
        holds: The terms, of words and of meanings, that the document holds, and how often.
    """
    nearest = _nearest(asked, holds)
    total = answered = 0.0
    for word in {piece.terms: piece for piece in asked.words}.values():
        held = [term for term in word.terms if term in holds]
        worth = max(rarity[term] for term in held or word.terms)
        said = max((asked.weights.get(t, 0.0) * _share(holds[t]) for t in held), default=0.0)
        total += worth
        answered += max(said, nearest.get(word.surface, 0.0)) * worth
    return answered / total if total else 0.0


def _nearest(asked: Asked, holds: Mapping[str, float]) -> dict[str, float]:
    """Return how near each word is to a meaning that is held, and how much of it is said."""
    nearest: dict[str, float] = {}
    for name in asked.meanings.keys() & holds.keys():
        near = asked.meanings[name] / MEANING_WEIGHT * _share(holds[name])
        for word in (asked.said[name], *asked.said[name].split(" ")):
            nearest[word] = max(near, nearest.get(word, 0.0))
    return nearest


def _share(often: float) -> float:
    return often / (often + _HALF)


def lead(scores: Sequence[float]) -> float:
    """Return how far the first score is ahead of the second, 0 to 1.

    Args:
        scores: Best first.
    """
    if not scores:
        return 0.0
    return 1.0 if len(scores) == 1 else 1 - scores[1] / scores[0]
