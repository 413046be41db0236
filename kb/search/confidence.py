"""Whether the first entry is likely to be an answer at all, and how far ahead it is.

Two figures of the first entry decide. Its reach is its score over the highest that any entry
could get for these words, unknown ones counted as the rarest: it carries short queries. Its
strength is its score in units of the rarity of an unknown word, so that it keeps its scale while
the base grows: it carries long ones.

How they are weighed was chosen by `tests/bench/confidence.py` on the starter base: each symptom
line, whole and cut to three and two words, is asked with the line itself taken out of its
entry; those that find their entry among the first ten are told from everyday sentences that no
entry speaks of, cut the same way; ten parts, each decided by what was best on the nine others.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from kb.search import ranking
from kb.search.analysis import Piece

STRENGTH_WEIGHT = 1 / 3
THRESHOLD = 0.7
FLOOR = 0.05  # of strength: words that nearly every entry holds tell nothing


@dataclass(frozen=True)
class Evidence:
    """How well a document answers a query.

    Attributes:
        reach: Its score over the highest possible one, 0 to 1.
        strength: Its score, in units of the rarity of an unknown word.
    """

    reach: float
    strength: float

    @property
    def measure(self) -> float:
        """One figure of the two."""
        return self.reach + STRENGTH_WEIGHT * self.strength


NONE = Evidence(0.0, 0.0)


def evidence(score: float, worth: float, count: int) -> Evidence:
    """Return how well a document answers.

    Args:
        score: Its score, with the usual k1.
        worth: Of the query's words to it, the sum of the rarities.
        count: How many documents there are.
    """
    if score <= 0:
        return NONE
    reach = min(1.0, score / (worth * (ranking.K1 + 1)))
    return Evidence(reach, score / ranking.rarity(count, 0))


def confident(first: Evidence) -> bool:
    """Return whether the first entry, with this evidence, is likely to be the answer."""
    return first.strength >= FLOOR and first.measure >= THRESHOLD


def worth(words: Sequence[Piece], rarity: Mapping[str, float], matched: Collection[str]) -> float:
    """Return the sum of the rarities of a query's words, as a document has to answer them.

    Args:
        words: The query's words; each counts once, as much as the rarest of its terms. A
            compound's whole is rarer than its parts: a part that matched stands for the word.
        rarity: Term to its inverse document frequency, unknown terms included.
        matched: The terms that the document holds.
    """
    total = 0.0
    for terms in dict.fromkeys(piece.terms for piece in words):
        mine = max((rarity[term] for term in terms if term in matched), default=0.0)
        total += mine or max((rarity[term] for term in terms), default=0.0)
    return total


def lead(scores: Sequence[float]) -> float:
    """Return how far the first score is ahead of the second, 0 to 1.

    Args:
        scores: Best first.
    """
    if not scores:
        return 0.0
    return 1.0 if len(scores) == 1 else 1 - scores[1] / scores[0]
