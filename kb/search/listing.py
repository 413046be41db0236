"""Which documents of an opened index are listed, and in which order."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from kb.search import analysis, confidence, documents, explaining, ranking
from kb.search.asking import Asked
from kb.search.confidence import Evidence
from kb.search.documents import JSON, Kind
from kb.search.ranking import Scores
from kb.search.reading import Reader

ENTRIES_LIMIT = 10
RECORDS_LIMIT = 5  # items, and faults
POSTINGS_LIMIT = 4_000  # read among items, and among faults; among entries all are


@dataclass(frozen=True)
class Hit:
    """One thing found.

    Attributes:
        kind: What it is.
        key: Slug, code or fault number, as text.
        title: What a list shows of it.
        score: The higher the better, among hits of its kind.
        why: The words of the query that it was found by.
        stored: What was stored with it for the faces.
    """

    kind: Kind
    key: str
    title: str
    score: float
    why: tuple[str, ...]
    stored: Mapping[str, JSON]


@dataclass(frozen=True)
class Wish:
    """What the asker wants of the entries.

    Attributes:
        area: The area to put first.
        boost: Entry key to a factor on its score.
        limit: The most entries listed.
        undo: What was typed and is to be read as it stands.
    """

    area: str | None = None
    boost: Mapping[str, float] = field(default_factory=dict)
    limit: int = ENTRIES_LIMIT
    undo: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Entries:
    """The entries listed, and how well the first by score answers."""

    hits: tuple[Hit, ...] = ()
    evidence: Evidence = confidence.NONE
    lead: float = 0.0


def entries(reader: Reader, asked: Asked, wish: Wish) -> Entries:
    """Return the entries to list.

    Raises:
        StorageError: When the index is damaged.
    """
    scores = ranking.score(reader.text("entry"), asked.weights | asked.meanings)
    evidence = _evidence(reader, asked, scores)
    _boost(reader, scores.total, wish.boost)
    lead = confidence.lead([scores.total[n] for n in ranking.best(scores.total, 2)])
    names = _named(reader, asked.whole)
    _lift(scores.total, names)
    chosen = _in_order(reader, scores.total, names, wish)
    return Entries(_hits(reader, asked, scores, chosen, names), evidence, lead)


def records(reader: Reader, asked: Asked) -> tuple[Hit, ...]:
    """Return the items, then the faults to list; one called by its code or name comes first.

    Raises:
        StorageError: When the index is damaged.
    """
    names = _named(reader, asked.names)
    kinds = {number: reader.found(number).kind for number in names}
    hits: list[Hit] = []
    for kind in documents.KINDS["records"]:
        scores = ranking.score(reader.text(kind), asked.weights, budget=POSTINGS_LIMIT)
        mine = {number: words for number, words in names.items() if kinds[number] == kind}
        _lift(scores.total, mine)
        hits += _hits(reader, asked, scores, ranking.best(scores.total, RECORDS_LIMIT), mine)
    return tuple(hits)


def _boost(reader: Reader, total: list[float], boost: Mapping[str, float]) -> None:
    """Multiply the scores of the boosted entries."""
    for key, factor in boost.items():
        for number in reader.named(documents.identity("entry", key)):
            total[number] *= factor


def _named(reader: Reader, called: Mapping[str, str]) -> dict[int, str]:
    """Return the documents that are called by an exact key, and the words that do."""
    names: dict[int, str] = {}
    for key, words in called.items():
        for number in reader.exact(key):
            names.setdefault(number, words)
    return names


def _lift(total: list[float], names: Iterable[int]) -> None:
    """Raise the scores of what was called by name above all others."""
    top = max(total, default=0.0) + 1
    for number in names:
        total[number] += top


def _in_order(
    reader: Reader, total: Sequence[float], names: Collection[int], wish: Wish
) -> list[int]:
    """Return the entries to list: named ones, then those of the wished area, then by score.

    The best half of the list by score alone is on it whatever the area, so that a wrong area
    hides nothing.
    """
    best = ranking.best(total, wish.limit)
    if wish.area is None:
        return best
    area = reader.in_area(analysis.exact_key(wish.area))
    inside = [score if number in area else 0.0 for number, score in enumerate(total)]
    sure = best[: (wish.limit + 1) // 2]
    seats = dict.fromkeys([*sure, *ranking.best(inside, wish.limit), *best])
    chosen = list(seats)[: wish.limit]
    return sorted(chosen, key=lambda n: (n not in names, n not in area, -total[n], n))


def _hits(
    reader: Reader, asked: Asked, scores: Scores, numbers: list[int], names: Mapping[int, str]
) -> tuple[Hit, ...]:
    """Return the documents with these numbers as hits."""
    matched = _matched(scores, numbers)
    hits = []
    for number in numbers:
        found = reader.found(number)
        hits.append(
            Hit(
                found.kind,
                found.key,
                found.title,
                scores.total[number],
                explaining.why(asked, matched[number], names.get(number)),
                found.stored,
            )
        )
    return tuple(hits)


def _matched(scores: Scores, numbers: Collection[int]) -> dict[int, set[str]]:
    """Return which terms each of these documents holds."""
    matched: dict[int, set[str]] = {number: set() for number in numbers}
    for term, holders in scores.holders.items():
        for number in matched.keys() & holders:
            matched[number].add(term)
    return matched


def _held(scores: Scores, number: int) -> dict[str, float]:
    """Return the terms that a document holds, and how often."""
    return {
        term: scores.counts[term][holders.index(number)]
        for term, holders in scores.holders.items()
        if number in holders
    }


def _evidence(reader: Reader, asked: Asked, scores: Scores) -> Evidence:
    """Return how well the first document by score answers."""
    for first in ranking.best(scores.total, 1):
        coverage = confidence.coverage(asked, scores.rarity, _held(scores, first))
        return confidence.evidence(coverage, scores.total[first], reader.text("entry").count)
    return confidence.NONE
