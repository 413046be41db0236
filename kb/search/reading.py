"""An opened index in our terms: postings, lengths, exact keys, stored documents.

One thread at a time may read it: its files keep the place they are read at.
"""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import accumulate, compress
from typing import Any

from kb.errors import StorageError
from kb.search.documents import JSON, Kind
from kb.search.ranking import Block

# The fields of an index beside the texts; a text's field has the name of its kind, so that a
# search among entries costs with entries alone, and lengths and rarities are those of the kind.
IDENTITY, EXACT, AREA, SPELLING = "identity", "exact", "area", "spelling"
LOOKED_UP = (IDENTITY, EXACT, AREA, SPELLING)
CREW: Kind = "word"  # the crew's own words, each under this one term
STORED = ("kind", "key", "title", "stored")

_PLACES_KEPT = 4_096
_EXACT_LIMIT = 20

Leaf = Any  # a segment's reader; the library is untyped, and nothing of it leaves this module


@dataclass(frozen=True)
class Found:
    """A document as the index keeps it."""

    kind: Kind
    key: str
    title: str
    stored: dict[str, JSON]


def spelling(word: str, key: str) -> str:
    """Return the one term under which a word and its sound are kept."""
    return f"{word} {key}"


@contextmanager
def damage(but: type[Exception] | tuple[type[Exception], ...] = ()) -> Iterator[None]:
    """Turn whatever a broken file makes the library raise into one error.

    Args:
        but: What is raised as it is.

    Raises:
        StorageError: For anything else raised inside.
    """
    try:
        yield
    except but:
        raise
    except Exception as error:
        message = "The search index is damaged. It is made anew before the next search."
        raise StorageError(message) from error


class Text:
    """The weighted texts of one kind of document: what ranking calls postings."""

    def __init__(self, reader: Any, kind: Kind, decoded: Sequence[int]) -> None:  # noqa: ANN401
        self._kind = kind
        self._leaves = _leaves(reader)
        self._places: dict[str, list[tuple[Leaf, int, int]]] = {}
        marks = b"".join(_length_marks(leaf, kind) for leaf, _ in self._leaves)
        self.lengths = [decoded[mark] for mark in marks]
        self.count = len(marks) - marks.count(0)
        self.average = reader.field_length(kind) / self.count if self.count else 0.0

    def frequency(self, term: str) -> int:
        """Return in how many documents the term stands, deleted ones not yet merged included."""
        return sum(frequency for _, _, frequency in self._find(term))

    def read(self, term: str, limit: int) -> Iterator[Block]:
        """Yield document numbers and weights, at most `limit`, those of new segments first."""
        with damage():
            for leaf, base, _ in reversed(self._find(term)):
                for numbers, weights in _blocks(leaf, leaf.postings(self._kind, term)):
                    yield map(base.__add__, numbers[:limit]), weights[:limit]
                    limit -= len(numbers)
                    if limit <= 0:
                        return

    def _find(self, term: str) -> list[tuple[Leaf, int, int]]:
        """Return the segments that hold a term, their first number and the term's frequency."""
        if term not in self._places:
            if len(self._places) >= _PLACES_KEPT:
                self._places.clear()
            with damage():
                looked = [
                    (leaf, n, leaf.doc_frequency(self._kind, term)) for leaf, n in self._leaves
                ]
            self._places[term] = [place for place in looked if place[2]]
        return self._places[term]


class Reader:
    """One opened index."""

    def __init__(self, reader: Any, decoded: Sequence[int]) -> None:  # noqa: ANN401
        self._reader = reader
        self._decoded = decoded
        self._texts: dict[Kind, Text] = {}
        self._words: dict[str, str] | None = None
        self._crew: dict[str, tuple[str, ...]] | None = None

    def text(self, kind: Kind) -> Text:
        """Return the texts of a kind, read on first use."""
        if kind not in self._texts:
            with damage():
                self._texts[kind] = Text(self._reader, kind, self._decoded)
        return self._texts[kind]

    def exact(self, key: str) -> list[int]:
        """Return the numbers of the documents that are found by this key as a whole."""
        return self._holders(EXACT, key, _EXACT_LIMIT)

    def named(self, identity: str) -> list[int]:
        """Return the number of the document with this identity, if there is one."""
        return self._holders(IDENTITY, identity, None)

    def in_area(self, key: str) -> frozenset[int]:
        """Return the numbers of the documents in an area, its name as an exact key."""
        return frozenset(self._holders(AREA, key, None))

    def words(self) -> dict[str, str]:
        """Return each word of the entries and how it sounds, read on first use."""
        if self._words is None:
            with damage():
                kept = (term.decode().split(" ") for term in self._reader.lexicon(SPELLING))
                self._words = dict(pair for pair in kept if len(pair) == 2)  # noqa: PLR2004
        return self._words

    def crew_words(self) -> dict[str, tuple[str, ...]]:
        """Return the crew's own words: terms of a phrase to what it says, read on first use."""
        if self._crew is None:
            crew: dict[str, tuple[str, ...]] = {}
            for number in self._holders(CREW, CREW, None):
                kept = self.found(number)
                crew[kept.key] = (*crew.get(kept.key, ()), str(kept.stored["means"]))
            self._crew = crew
        return self._crew

    def found(self, number: int) -> Found:
        """Return the document with this number."""
        with damage():
            fields = self._reader.stored_fields(number)
            kind, key, title = fields["kind"], fields["key"], fields["title"]
            return Found(kind, key, title, json.loads(fields["stored"]))

    def close(self) -> None:
        """Let go of the files; a damaged one that resists is left to the collector."""
        with suppress(Exception):
            self._reader.close()

    def _holders(self, field: str, key: str, limit: int | None) -> list[int]:
        numbers: list[int] = []
        with damage():
            for leaf, base in _leaves(self._reader):
                if (field, key) in leaf:
                    numbers += [base + number for number in leaf.postings(field, key).all_ids()]
        return numbers[:limit]


def _leaves(reader: Any) -> list[tuple[Leaf, int]]:  # noqa: ANN401
    """Return the segments and the number of their first document."""
    return list(reader.leaf_readers()) if reader.doc_count_all() else []


def _blocks(leaf: Leaf, matcher: Any) -> Iterator[tuple[list[int], Sequence[float]]]:  # noqa: ANN401
    """Yield the ids and weights of a term's postings, a block of 128 at a time.

    The library offers them one by one only, at three times the cost; it is finished, its version
    is pinned, and a test compares the scores with those of its own searcher.
    """
    deleted = leaf.deleted_docs_set
    block = matcher.child if deleted else matcher
    while not block._atend:  # noqa: SLF001
        block._read_data()  # noqa: SLF001
        block._read_weights()  # noqa: SLF001
        ids = list(accumulate(block._data[0]))  # noqa: SLF001 - kept as differences
        weights: Sequence[float] = block._weights  # noqa: SLF001
        if deleted:
            there = [number not in deleted for number in ids]
            ids, weights = list(compress(ids, there)), list(compress(weights, there))
        yield ids, weights
        block._next_block()  # noqa: SLF001


def _length_marks(leaf: Leaf, kind: Kind) -> bytes:
    """Return the coded length of each document's text; nought where it has none.

    The library offers them one by one only, which costs thirty times as much at 20,000 documents.
    """
    count = leaf.doc_count_all()
    storage = leaf.storage()
    name = leaf.codec().column_filename(leaf.segment(), f"_{kind}_len")
    if not storage.file_exists(name):
        return bytes(count)
    column = storage.open_file(name)
    marks: bytes = column.get(0, min(count, storage.file_length(name)))
    column.close()
    return marks.ljust(count, b"\0")
