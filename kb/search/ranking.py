"""BM25, term at a time.

S. Robertson and H. Zaragoza, 'The Probabilistic Relevance Framework: BM25 and Beyond' (2009),
with the inverse document frequency that stays above nought: ln(1 + (N - n + 0.5) / (n + 0.5)).
"""

import heapq
import math
from array import array
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

K1 = 1.2
B = 0.75


# Document numbers, and how often the term stands in each of them.
Block = tuple[Iterable[int], Iterable[float]]


class Postings(Protocol):
    """The weighted texts of one kind of document, as far as ranking has to know them."""

    @property
    def count(self) -> int:
        """How many documents there are."""

    @property
    def lengths(self) -> Sequence[float]:
        """Each document's length, by its number."""

    @property
    def average(self) -> float:
        """The mean length of the documents."""

    def frequency(self, term: str) -> int:
        """Return in how many documents the term stands."""

    def read(self, term: str, limit: int) -> Iterable[Block]:
        """Yield the numbers of at most `limit` of those documents, and how often in each."""


@dataclass(frozen=True)
class Scores:
    """What a query scores.

    Attributes:
        total: Each document's score, by its number; nought where no term matched.
        holders: Term to the documents it was found in.
        counts: Term to how often it stands in each of them.
        rarity: Term to its inverse document frequency; of an unknown one, the highest possible.
    """

    total: list[float]
    holders: dict[str, Sequence[int]]
    counts: dict[str, Sequence[float]]
    rarity: dict[str, float]


def rarity(count: int, frequency: int) -> float:
    """Return the inverse document frequency of a term.

    Args:
        count: How many documents there are.
        frequency: In how many of them the term stands.
    """
    return math.log(1 + (count - frequency + 0.5) / (frequency + 0.5))


def score(
    postings: Postings,
    weights: Mapping[str, float],
    *,
    k1: float = K1,
    b: float = B,
    budget: int | None = None,
) -> Scores:
    """Return the score of every document that holds one of the terms.

    Args:
        postings: Where the terms are looked up.
        weights: Term to its weight in the query.
        k1: How soon repeating a term stops counting.
        b: How much a long document is held against it, 0 to 1.
        budget: How many postings may be read, rare terms first; the rarest is always read as far
            as the budget goes. None reads all.
    """
    frequencies = {term: postings.frequency(term) for term in weights}
    rarities = {term: rarity(postings.count, n) for term, n in frequencies.items()}
    scores = Scores([0.0] * len(postings.lengths), {}, {}, rarities)
    floor, slope = k1 * (1 - b), k1 * b / (postings.average or 1)
    left = sum(frequencies.values()) if budget is None else budget
    for term in sorted(weights, key=lambda term: (frequencies[term], term)):
        limit = min(left, frequencies[term])
        if not limit or (limit < frequencies[term] and scores.holders):
            continue
        left -= limit
        factor = weights[term] * rarities[term] * (k1 + 1)
        blocks = postings.read(term, limit)
        scores.holders[term], scores.counts[term] = _add(
            scores.total, blocks, postings.lengths, (factor, floor, slope)
        )
    return scores


def _add(
    total: list[float],
    blocks: Iterable[Block],
    lengths: Sequence[float],
    constants: tuple[float, float, float],
) -> tuple[Sequence[int], Sequence[float]]:
    """Add one term's share to the totals, and return where it was found, and how often.

    Args:
        total: Scores so far, by document number.
        blocks: Where the term stands, and how often.
        lengths: Document lengths by number.
        constants: The term's factor; the part of k1 that no length changes; its growth per length.
    """
    factor, floor, slope = constants
    holders, often = array("L"), array("f")
    for numbers, counts in blocks:
        # Block by block, so that little is in the air: it matters from some 10,000 postings on.
        found = list(numbers)
        holders.extend(found)
        often.extend(array("f", counts))
        for number, times in zip(found, counts, strict=True):
            total[number] += factor * times / (times + floor + slope * lengths[number])
    return holders, often


def best(total: Sequence[float], limit: int) -> list[int]:
    """Return the numbers of the highest scores above nought, best first, ties by number."""
    highest = heapq.nlargest(limit, total)
    if not highest:
        return []
    # Only these few are sorted by both; doing so in the heap costs twice as much.
    least = highest[-1]
    found = [(-score, number) for number, score in enumerate(total) if score >= least and score]
    return [number for _, number in sorted(found)[:limit]]
