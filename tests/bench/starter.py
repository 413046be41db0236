"""The starter base as documents, and as postings in memory that lines can be taken out of."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from kb.entries import parse
from kb.entries.model import Entry
from kb.search import analysis, documents, shapes
from kb.search.documents import Document
from kb.search.ranking import Block


@dataclass(frozen=True)
class Page:
    """An entry, and its document as the product indexes it."""

    entry: Entry
    document: Document


def pages(folder: Path) -> list[Page]:
    """Return the entries of a folder, by file name; one that doesn't parse raises."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(folder.glob("*-*.md"))]
    return [Page(parse.entry_from(text), shapes.of_entry(text, {})) for text in texts]


@dataclass
class Memory:
    """Postings in memory: documents can be taken out of them, and put back."""

    found: Mapping[str, dict[int, float]]
    lengths: list[float]
    gone: set[int] = field(default_factory=set)

    @property
    def count(self) -> int:
        """How many documents there are."""
        return len(self.lengths) - len(self.gone)

    @property
    def average(self) -> float:
        """The mean length of the documents."""
        left = [length for n, length in enumerate(self.lengths) if n not in self.gone]
        return sum(left) / len(left)

    def frequency(self, term: str) -> int:
        """Return in how many documents the term stands."""
        return len(self.found.get(term, {}).keys() - self.gone)

    def read(self, term: str, limit: int) -> Iterator[Block]:
        """Yield those documents and how often in each."""
        pairs = [pair for pair in self.found.get(term, {}).items() if pair[0] not in self.gone]
        yield [n for n, _ in pairs[:limit]], [times for _, times in pairs[:limit]]

    @contextmanager
    def without_line(self, number: int, line: str) -> Iterator[None]:
        """Take one symptom line out of a document for a while."""
        weight = documents.WEIGHTS["symptoms"]
        terms = [term for term in analysis.terms(line) if number in self.found[term]]
        for term in terms:
            self.found[term][number] -= weight
        emptied = {term for term in terms if self.found[term][number] <= 0}
        for term in emptied:
            del self.found[term][number]
        self.lengths[number] -= weight * len(terms)
        yield
        self.lengths[number] += weight * len(terms)
        for term in terms:
            self.found[term][number] = self.found[term].get(number, 0) + weight

    @contextmanager
    def without(self, number: int) -> Iterator[None]:
        """Take a whole document out for a while."""
        self.gone.add(number)
        yield
        self.gone.discard(number)


def memory(found: Iterable[Document]) -> Memory:
    """Return documents as postings in memory, numbered in their order."""
    postings: dict[str, dict[int, float]] = {}
    lengths = []
    for number, each in enumerate(found):
        weights = documents.weighted_terms(each)
        lengths.append(float(sum(weights.values())))
        for term, weight in weights.items():
            postings.setdefault(term, {})[number] = float(weight)
    return Memory(postings, lengths)
