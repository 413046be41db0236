"""A query taken apart once: its words, what they are read as and mean, and what may be a name."""

import itertools
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from kb.search import analysis, thesaurus
from kb.search.analysis import Piece
from kb.search.spelling import Reading
from kb.search.thesaurus import Thesaurus

# Whatever is pasted, the work stays bounded.
CHARACTER_LIMIT = 4_000
TERM_LIMIT = 64
_WORD_LIMIT = 200
_WHOLE_LIMIT = 200  # characters of a slug or title
_NAME_WORDS = 12  # a code or name stands near the beginning of a query
_NAME_SPAN = 3  # and is of three words at most

_NUMBER = re.compile(r"\d{1,2}(?::\d\d)*")

# Chosen by `tests/bench/relevance.py`.
READ_WEIGHT = 0.8  # of a word that was corrected
NUMBER_WEIGHT = 0.3  # of a small number or a time of day: mostly the name of a thing, or when
MEANING_WEIGHT = 1.5


@dataclass(frozen=True)
class Correction:
    """What was typed, and what it was read as; several words are each possible."""

    typed: str
    read: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """What was typed, in our terms.

    Attributes:
        words: Its words that stand for something, in order, as they were typed; each with the
            terms of what it is read as.
        weights: Term of a word to its weight.
        meanings: Term of a meaning to its weight.
        said: Term of a meaning to the words that say it.
        called: Term of a meaning to the words that name it.
        corrections: What was read as something else.
        read_as: The whole as it was read.
        whole: Exact key of the whole to the words: an entry is called by nothing less.
        names: Exact key to the words it is made of: what may be a code, name or number.
    """

    words: tuple[Piece, ...]
    weights: dict[str, float]
    meanings: dict[str, float]
    said: dict[str, str]
    called: dict[str, str]
    corrections: tuple[Correction, ...]
    read_as: str
    whole: dict[str, str]
    names: dict[str, str]


@dataclass(frozen=True)
class Knowledge:
    """What is known of words beside the analysis.

    Attributes:
        read: Return what some words are to be read as where that isn't what was typed.
        meant: The thesaurus.
        crew: The crew's own words: terms of a phrase to what it says in other words.
        undo: What is not to be read as anything else.
    """

    read: Callable[[Sequence[str]], Iterable[Reading]] = lambda _: ()
    meant: Thesaurus = thesaurus.NONE
    crew: Callable[[], dict[str, tuple[str, ...]]] = dict
    undo: Collection[str] = frozenset()


@dataclass(frozen=True)
class _Word:
    """A word as it was typed, and the pieces of what it is read as, each possible."""

    typed: str
    read: tuple[tuple[Piece, ...], ...]
    corrected: bool

    @property
    def terms(self) -> tuple[str, ...]:
        return tuple(term for way in self.read for piece in way for term in piece.terms)


PLAIN = Knowledge()


def asked(text: str, known: Knowledge = PLAIN) -> Asked:
    """Return a query taken apart; of more than the limits the beginning."""
    text = text[:CHARACTER_LIMIT]
    words = list(_bounded(_words(text, known)))
    words = list(_with_crew(words, known))
    meanings, said = _meanings(words, known)
    line = " ".join(text.split())
    return Asked(
        words=tuple(Piece(word.typed, word.terms) for word in words if word.terms),
        weights=_weights(words),
        meanings=meanings,
        said=said,
        called={name: _called(name, known.meant) for name in said},
        corrections=tuple(
            Correction(word.typed, tuple(" ".join(p.surface for p in way) for way in word.read))
            for word in words
            if word.corrected
        ),
        read_as=" ".join(piece.surface for word in words for piece in word.read[0]),
        whole={analysis.exact_key(line): line} if len(line) <= _WHOLE_LIMIT else {},
        names=dict(_names(text)),
    )


def _words(text: str, known: Knowledge) -> Iterator[_Word]:
    """Yield the words of a text with what each is read as."""
    pieces = [piece for piece, _ in itertools.groupby(analysis.pieces(text))][:_WORD_LIMIT]
    surfaces = [piece.surface for piece in pieces]
    readings = {reading.start: reading for reading in known.read(surfaces)}
    start = 0
    while start < len(pieces):
        reading = readings.get(start)
        typed = " ".join(surfaces[start : start + reading.length]) if reading else ""
        if reading and typed not in known.undo:
            read = tuple(tuple(analysis.pieces(word)) for word in reading.words)
            yield _Word(typed, read, corrected=True)
            start += reading.length
        else:
            yield _Word(surfaces[start], ((pieces[start],),), corrected=False)
            start += 1


def _with_crew(words: Sequence[_Word], known: Knowledge) -> Iterator[_Word]:
    """Yield the words, and after them what the crew means by those that are its own.

    It goes both ways: who asks in the usual words finds what is written in the crew's.
    """
    yield from words
    crew = known.crew()
    terms = [term for word in words for term in thesaurus.run_of(word.read[0])]
    asked = f" {' '.join(terms)} "
    for phrase, meant in crew.items():
        for means in meant:
            other = thesaurus.phrase_of(means)
            for here, there in ((phrase, analysis.pieces(means)), (other, _pieces(phrase))):
                own = frozenset(here.split(" "))
                typed = " ".join(w.typed for w in words if not own.isdisjoint(w.terms))
                if f" {here} " in asked and typed not in known.undo:
                    yield _Word(typed, (tuple(there),), corrected=True)


def _pieces(phrase: str) -> list[Piece]:
    return [Piece(term, (term,)) for term in phrase.split(" ")]


def _bounded(words: Iterable[_Word]) -> Iterator[_Word]:
    """Yield words as long as their terms are no more than the limit; what comes again, not."""
    seen: set[str] = set()
    for word in words:
        fresh = {*word.terms} - seen
        if len(seen) + len(fresh) <= TERM_LIMIT:
            seen |= fresh
            yield word


def _weights(words: Iterable[_Word]) -> dict[str, float]:
    """Return the terms' weights; those of a word of several readings have less each."""
    weights: dict[str, float] = {}
    for word in words:
        weight = READ_WEIGHT / len(word.read) ** 0.5 if word.corrected else 1.0
        for term in word.terms:
            mine = weight * (NUMBER_WEIGHT if _NUMBER.fullmatch(term) else 1.0)
            weights[term] = max(mine, weights.get(term, 0.0))
    return weights


def _meanings(words: Sequence[_Word], known: Knowledge) -> tuple[dict[str, float], dict[str, str]]:
    """Return the weights of what the words mean, and which of the words say it."""
    ways = [thesaurus.run_of(word.read[0]) for word in words]
    terms = [term for way in ways for term in way]
    typed = [word.typed for word, way in zip(words, ways, strict=True) for _ in way]
    weights: dict[str, float] = {}
    said: dict[str, str] = {}
    for start, end, name, weight in known.meant.found(terms):
        if weight > weights.get(name, 0.0):
            weights[name] = weight
            said[name] = " ".join(dict.fromkeys(typed[start:end]))
    return {name: MEANING_WEIGHT * weight for name, weight in weights.items()}, said


def _called(name: str, meant: Thesaurus) -> str:
    return meant.called.get(name, name.removeprefix(thesaurus.MARK))


def _names(text: str) -> Iterator[tuple[str, str]]:
    """Yield the exact key and the words of each run of words that may be a name."""
    words = text.split(maxsplit=_NAME_WORDS)[:_NAME_WORDS]
    for length in range(min(_NAME_SPAN, len(words)), 0, -1):
        for start in range(len(words) - length + 1):
            run = " ".join(words[start : start + length])
            key = analysis.exact_key(run)
            if key:
                yield key, run
