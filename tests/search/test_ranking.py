"""BM25 against sums made here by hand from the published formula.

S. Robertson and H. Zaragoza (2009), 'The Probabilistic Relevance Framework: BM25 and Beyond',
section 3.5, with ln(1 + ...) for the inverse document frequency; the library's own searcher is
the other oracle (test_reading.py).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rank_bm25 import BM25Okapi

from kb.search import ranking
from kb.search.ranking import Block, Scores

Corpus = list[dict[str, int]]


@dataclass(frozen=True)
class Shelf:
    """Documents in memory, as the counts of their terms."""

    pages: Corpus

    @property
    def count(self) -> int:
        return len(self.pages)

    @property
    def lengths(self) -> Sequence[float]:
        return [float(sum(page.values())) for page in self.pages]

    @property
    def average(self) -> float:
        return sum(self.lengths) / len(self.pages)

    def frequency(self, term: str) -> int:
        return sum(term in page for page in self.pages)

    def read(self, term: str, limit: int) -> Iterator[Block]:
        """Yield one posting a block."""
        found = [(n, float(page[term])) for n, page in enumerate(self.pages) if term in page]
        for number, times in found[:limit]:
            yield [number], [times]


def by_hand(pages: Corpus, query: Sequence[str], number: int, k1: float, b: float) -> float:
    """Return a document's score, summed from the formula."""
    lengths = [sum(page.values()) for page in pages]
    norm = 1 - b + b * lengths[number] / (sum(lengths) / len(lengths))
    total = 0.0
    for term in set(query):
        n, tf = sum(term in page for page in pages), pages[number].get(term, 0)
        idf = math.log(1 + (len(pages) - n + 0.5) / (n + 0.5))
        total += idf * tf * (k1 + 1) / (tf + k1 * norm)
    return total


def held(scores: Scores) -> dict[str, list[int]]:
    return {term: list(numbers) for term, numbers in scores.holders.items()}


SMALL: Corpus = [{"no": 1, "sound": 3}, {"no": 2, "picture": 2, "hum": 1}, {"hum": 4}]

pages = st.lists(
    st.dictionaries(st.sampled_from("abcdef"), st.integers(1, 9), min_size=1),
    min_size=1,
    max_size=9,
)


@given(pages, st.lists(st.sampled_from("abcdefg"), min_size=1), st.floats(0.1, 3), st.floats(0, 1))
@settings(max_examples=100)
def test_scores_are_those_of_the_formula(
    corpus: Corpus, query: list[str], k1: float, b: float
) -> None:
    scores = ranking.score(Shelf(corpus), dict.fromkeys(query, 1.0), k1=k1, b=b)

    assert scores.total == pytest.approx(
        [by_hand(corpus, query, n, k1, b) for n in range(len(corpus))]
    )


def test_one_score_worked_out_on_paper() -> None:
    # N = 3, n = 1: idf = ln(1 + 2.5 / 1.5) = 0.98083; lengths 4, 5, 4, mean 13/3;
    # norm = 1.2 (0.25 + 0.75 * 12/13) = 1.13077; 0.98083 * 3 * 2.2 / 4.13077 = 1.5671
    total = ranking.score(Shelf(SMALL), {"sound": 1.0}).total

    assert total == pytest.approx([1.5671, 0, 0], abs=5e-5)


def test_a_weight_multiplies_what_its_term_adds() -> None:
    once = ranking.score(Shelf(SMALL), {"hum": 1.0}).total
    half = ranking.score(Shelf(SMALL), {"hum": 0.5}).total

    assert half == pytest.approx([score / 2 for score in once])


def test_unknown_terms_are_the_rarest_and_add_nothing() -> None:
    scores = ranking.score(Shelf(SMALL), {"hum": 1.0, "nowhere": 1.0})

    assert scores.rarity["nowhere"] > scores.rarity["hum"]
    assert "nowhere" not in scores.holders
    assert scores.total == ranking.score(Shelf(SMALL), {"hum": 1.0}).total


@pytest.mark.parametrize(
    ("budget", "holders"),
    [
        (None, {"picture": [1], "hum": [1, 2], "no": [0, 1]}),
        (5, {"picture": [1], "hum": [1, 2], "no": [0, 1]}),
        (4, {"picture": [1], "hum": [1, 2]}),
        (2, {"picture": [1]}),
        (0, {}),
    ],
)
def test_a_budget_is_spent_on_rare_terms_first(
    budget: int | None, holders: dict[str, list[int]]
) -> None:
    weights = {"no": 1.0, "hum": 1.0, "picture": 1.0}

    assert held(ranking.score(Shelf(SMALL), weights, budget=budget)) == holders


def test_the_rarest_term_is_read_as_far_as_the_budget_goes() -> None:
    assert held(ranking.score(Shelf(SMALL), {"hum": 1.0}, budget=1)) == {"hum": [1]}


@given(st.lists(st.sampled_from([0.0, 0.5, 1.0, 2.5]), max_size=30), st.integers(1, 12))
@settings(max_examples=100)
def test_the_best_are_the_first_by_score_then_number(total: list[float], limit: int) -> None:
    found = [number for number, score in enumerate(total) if score]

    assert ranking.best(total, limit) == sorted(found, key=lambda n: (-total[n], n))[:limit]


def test_no_documents_score_nothing() -> None:
    class Bare(Shelf):
        @property
        def average(self) -> float:
            return 0.0

    assert ranking.score(Bare([]), {"hum": 1.0}).total == []


@pytest.mark.parametrize(
    ("first", "second", "weight", "total"),
    [
        ([4.0, 2.0, 0.0], {}, 0.5, [4.0, 2.0, 0.0]),
        ([4.0, 2.0, 0.0], {0: 1.0, 1: 3.0, 2: 2.0}, 0.5, [2.0, 4.0, 0.0]),
        ([0.0, 0.0], {0: 1.0, 1: 3.0}, 0.5, [0.0, 0.5]),
        ([4.0, 2.0], {0: 5.0, 1: 5.0}, 0.5, [4.0, 2.0]),
    ],
)
def test_two_lists_are_one_on_the_scale_of_the_first(
    first: list[float], second: dict[int, float], weight: float, total: list[float]
) -> None:
    assert ranking.fused(first, second, weight) == pytest.approx(total)


@pytest.mark.parametrize(
    ("worked", "tried", "factor"), [(0, 0, 1.0), (0, 9, 1.0), (1, 1, 1 + 0.05 / 3), (8, 8, 1.04)]
)
def test_past_success_lifts_a_little(worked: int, tried: int, factor: float) -> None:
    assert ranking.prior(worked, tried) == pytest.approx(factor)
    assert ranking.prior(10**6, 10**6) < 1 + ranking.PRIOR


@settings(max_examples=40)
@given(pages, st.lists(st.sampled_from("abcdefg"), min_size=1))
def test_scores_are_those_of_a_library_that_is_given_our_idf(
    corpus: Corpus, query: list[str]
) -> None:
    # rank-bm25 has another inverse document frequency, so it's handed ours; the rest is its own.
    texts = [[term for term, times in page.items() for _ in range(times)] for page in corpus]
    library = BM25Okapi(texts, k1=1.2, b=0.75)
    shelf = Shelf(corpus)
    library.idf = {t: ranking.rarity(shelf.count, shelf.frequency(t)) for t in library.idf}

    ours = ranking.score(shelf, dict.fromkeys(query, 1.0), k1=1.2, b=0.75).total

    assert ours == pytest.approx(list(library.get_scores(list(dict.fromkeys(query)))), abs=1e-9)
