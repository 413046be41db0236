"""BM25, term at a time.

S. Robertson and H. Zaragoza, 'The Probabilistic Relevance Framework: BM25 and Beyond' (2009),
with the inverse document frequency that stays above nought: ln(1 + (N - n + 0.5) / (n + 0.5)).
"""

import heapq
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

K1 = 1.2
B = 0.75


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

    def read(self, term: str, limit: int) -> tuple[Sequence[int], Sequence[float]]:
        """Return the numbers of at most `limit` of those documents, and how often in each."""


@dataclass(frozen=True)
class Scores:
    """What a query scores.

    Attributes:
        total: Document number to score.
        holders: Term to the documents it was found in.
        rarity: Term to its inverse document frequency; of an unknown one, the highest possible.
    """

    total: dict[int, float]
    holders: dict[str, Sequence[int]]
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
    scores = Scores({}, {}, {t: rarity(postings.count, n) for t, n in frequencies.items()})
    floor, slope = k1 * (1 - b), k1 * b / (postings.average or 1)
    left = sum(frequencies.values()) if budget is None else budget
    for term in sorted(weights, key=lambda term: (frequencies[term], term)):
        limit = min(left, frequencies[term])
        if not limit or (limit < frequencies[term] and scores.holders):
            continue
        left -= limit
        numbers, counts = postings.read(term, limit)
        scores.holders[term] = numbers
        factor = weights[term] * scores.rarity[term] * (k1 + 1)
        _add(
            scores.total,
            zip(numbers, counts, strict=True),
            postings.lengths,
            (factor, floor, slope),
        )
    return scores


def _add(
    total: dict[int, float],
    found: Iterable[tuple[int, float]],
    lengths: Sequence[float],
    constants: tuple[float, float, float],
) -> None:
    """Add one term's share to the totals.

    Args:
        total: Document number to score so far.
        found: Document numbers, and how often the term stands in each.
        lengths: Document lengths by number.
        constants: The term's factor; the part of k1 that no length changes; its growth per length.
    """
    factor, floor, slope = constants
    get = total.get
    for number, times in found:
        total[number] = get(number, 0.0) + factor * times / (
            times + floor + slope * lengths[number]
        )


def best(total: Mapping[int, float], limit: int) -> list[int]:
    """Return the numbers of the highest scores, best first, ties by number."""
    highest = heapq.nlargest(limit, total.values())
    if not highest:
        return []
    # Only these few are sorted by both; doing so in the heap costs twice as much.
    found = [(-score, number) for number, score in total.items() if score >= highest[-1]]
    return [number for _, number in sorted(found)[:limit]]
