"""Whether the first entry is likely to be an answer at all, and how far ahead it is.

The measure adds two figures of the first entry. One is its share of the query: of the rarity of
all the words typed, unknown ones at the highest, what the entry matched. The other is its score,
in units of that highest rarity, so that the measure keeps its scale while the base grows. The
share carries short queries, the score long ones.

The threshold was chosen by `tests/bench/confidence.py` on the starter base: each symptom line,
whole and cut to two and three words, is asked with the line itself taken out of its entry; what
found its entry among the first ten is told from everyday sentences that no entry speaks of,
cut the same way; ten parts, each decided by the threshold that was best on the nine others.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from kb.search.analysis import Piece

THRESHOLD = 1.25


@dataclass(frozen=True)
class Evidence:
    """How well a document answers a query.

    Attributes:
        share: Of the query's rarity, what the document matched, 0 to 1.
        strength: Its score, in units of the rarity of an unknown word.
    """

    share: float
    strength: float

    @property
    def measure(self) -> float:
        """One figure of the two."""
        return self.share + self.strength


NONE = Evidence(0.0, 0.0)


def confident(first: Evidence) -> bool:
    """Return whether the first entry, with this evidence, is likely to be the answer."""
    return first.measure >= THRESHOLD


def share(words: Sequence[Piece], rarity: Mapping[str, float], matched: Collection[str]) -> float:
    """Return what a document matched of a query's rarity, 0 to 1.

    Args:
        words: The query's words; each counts as much as the rarest of its terms. A compound's
            whole is rarer than its parts: a part that matched stands for the word.
        rarity: Term to its inverse document frequency, unknown terms included.
        matched: The terms that the document holds.
    """
    whole = had = 0.0
    for terms in dict.fromkeys(piece.terms for piece in words):
        mine = max((rarity[term] for term in terms if term in matched), default=0.0)
        whole += mine or max((rarity[term] for term in terms), default=0.0)
        had += mine
    return had / whole if whole else 0.0


def lead(scores: Sequence[float]) -> float:
    """Return how far the first score is ahead of the second, 0 to 1.

    Args:
        scores: Best first.
    """
    if not scores:
        return 0.0
    return 1.0 if len(scores) == 1 else 1 - scores[1] / scores[0]
