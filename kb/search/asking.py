"""A query taken apart once: its words, their terms, and what may be a name in it."""

from collections.abc import Iterator
from dataclasses import dataclass

from kb.search import analysis
from kb.search.analysis import Piece

# Whatever is pasted, the work stays bounded.
CHARACTER_LIMIT = 4_000
TERM_LIMIT = 64
_WHOLE_LIMIT = 200  # characters of a slug or title
_NAME_WORDS = 12  # a code or name stands near the beginning of a query
_NAME_SPAN = 3  # and is of three words at most


@dataclass(frozen=True)
class Asked:
    """What was typed, in our terms.

    Attributes:
        words: Its words that stand for something, in order.
        weights: Term to its weight.
        whole: Exact key of the whole to the words: an entry is called by nothing less.
        names: Exact key to the words it is made of: what may be a code, name or number.
    """

    words: tuple[Piece, ...]
    weights: dict[str, float]
    whole: dict[str, str]
    names: dict[str, str]


def asked(text: str) -> Asked:
    """Return a query taken apart; of more than the limits the beginning."""
    text = text[:CHARACTER_LIMIT]
    weights: dict[str, float] = {}
    words: list[Piece] = []
    for piece in analysis.pieces(text):
        fresh = [term for term in piece.terms if term not in weights]
        if not piece.terms or len(weights) + len(fresh) > TERM_LIMIT:
            continue
        words.append(piece)
        weights.update(dict.fromkeys(fresh, 1.0))
    line = " ".join(text.split())
    whole = {analysis.exact_key(line): line} if len(line) <= _WHOLE_LIMIT else {}
    return Asked(tuple(words), weights, whole, dict(_names(text)))


def _names(text: str) -> Iterator[tuple[str, str]]:
    """Yield the exact key and the words of each run of words that may be a name."""
    words = text.split(maxsplit=_NAME_WORDS)[:_NAME_WORDS]
    for length in range(min(_NAME_SPAN, len(words)), 0, -1):
        for start in range(len(words) - length + 1):
            run = " ".join(words[start : start + length])
            key = analysis.exact_key(run)
            if key:
                yield key, run
