"""What is indexed: documents of named parts, each part with its weight."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from kb.errors import InvalidError, Problem
from kb.search import analysis, thesaurus
from kb.search.thesaurus import Thesaurus

JSON: TypeAlias = bool | int | float | str | list["JSON"] | dict[str, "JSON"] | None
Kind = Literal["entry", "word", "item", "fault"]
Which = Literal["entries", "records"]

# The kinds that each of the two indexes holds, in the order they are shown; words of the crew's
# own are not shown but asked with.
KINDS: Mapping[Which, tuple[Kind, ...]] = {
    "entries": ("entry", "word"),
    "records": ("item", "fault"),
}

# How often a part counts: its words are written so many times into the one text of a document.
WEIGHTS: Mapping[str, float] = {
    "title": 3,
    "symptoms": 1,  # many voices already; each line is one of them
    "reported": 2,  # what people typed when this was the answer
    "text": 2,  # a fault as it was reported
    "model": 2,
    "class": 1,
    "area": 1,
    "causes": 2,
    "checks": 0.5,
    "fixes": 0.5,
    "steps": 0.25,  # long, and of words that many entries share
    "item": 1,
    "place": 1,
    "note": 1,
}


@dataclass(frozen=True)
class Document:
    """One thing that can be found.

    Attributes:
        kind: What it is; kind and key together name it.
        key: Slug, code or number as text.
        title: What a list shows of it.
        parts: Part name (of `WEIGHTS`) to its text; several lines are one text.
        exact: Code, name, serial number: looked up as a whole before any word is.
        stored: What the faces print; its `area`, if it has one, can be put first.
    """

    kind: Kind
    key: str
    title: str
    parts: Mapping[str, str]
    exact: tuple[str, ...]
    stored: Mapping[str, JSON]

    def __post_init__(self) -> None:
        """Refuse a part that has no weight.

        Raises:
            InvalidError: For such a part.
        """
        unknown = sorted(self.parts.keys() - WEIGHTS.keys())
        if unknown:
            mend = f"it has no weight. Known parts are: {', '.join(WEIGHTS)}."
            raise InvalidError(Problem(name, mend) for name in unknown)


def identity(kind: str, key: str) -> str:
    """Return the one word that names a document in its index."""
    return f"{kind}:{key}"


def weighted_terms(document: Document) -> dict[str, float]:
    """Return how often each term counts in a document, its parts weighted."""
    counts: dict[str, float] = {}
    for name, text in document.parts.items():
        weight = WEIGHTS[name]
        for term in analysis.terms(text):
            counts[term] = counts.get(term, 0.0) + weight
    return counts


def weighted_meanings(document: Document, meant: Thesaurus) -> dict[str, float]:
    """Return how often each meaning counts in a document, line by line, its parts weighted."""
    counts: dict[str, float] = {}
    for name, text in document.parts.items():
        for line in text.splitlines():
            found = meant.meanings(thesaurus.run_of(analysis.pieces(line)))
            for meaning, nearly in found.items():
                counts[meaning] = counts.get(meaning, 0.0) + nearly * WEIGHTS[name]
    return counts


def words(document: Document) -> frozenset[str]:
    """Return the words of a document that others may be corrected to."""
    texts = "\n".join(document.parts.values())
    return frozenset(p.surface for p in analysis.pieces(texts) if p.surface.isalpha())


def exact_keys(document: Document) -> frozenset[str]:
    """Return what a document is found by as a whole."""
    return frozenset(filter(None, map(analysis.exact_key, document.exact)))


def stored_text(document: Document) -> str:
    """Return what the faces print, as JSON."""
    return json.dumps(document.stored, separators=(",", ":"))
