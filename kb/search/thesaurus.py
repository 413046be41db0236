"""Words that mean the same: which meanings a run of terms has.

Each group of the thesaurus is a meaning, named by its first word. Documents are indexed under
their words and under their meanings, so that a query in other words finds them: a meaning is one
more term, with a rarity of its own. A word of several meanings has one only where another word
beside it settles which.

The two texts are written by hand; `data/compiled.json` is made from them, since stemming them at
each start would take longer than a search.
"""

import functools
import json
import re
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

from kb.search import analysis, sounds, vocabulary

MARK = "="  # begins the term of a meaning; no word holds it
DATA = Path(__file__).parent / "data"
_LONGEST = 5
_WEIGHED = re.compile(r"~(0\.\d+) ")
_LETTERS = re.compile(r"[a-z]+")

Meanings = Mapping[str, float]  # the term of a meaning, and how nearly


@dataclass(frozen=True)
class Thesaurus:
    """Meanings by the phrases that say them.

    Attributes:
        phrases: Terms of a phrase, joined by blanks, to what it means.
        senses: Such a phrase to its meanings that need one of some terms beside it.
        words: Each word that it holds, and how it sounds.
        called: Term of a meaning to the words that name it, whole.
    """

    phrases: Mapping[str, Meanings]
    senses: Mapping[str, Mapping[str, Sequence[str]]]
    words: Mapping[str, str]
    called: Mapping[str, str] = field(default_factory=dict)

    def meanings(self, terms: Sequence[str]) -> dict[str, float]:
        """Return what a run of terms means, word by word and phrase by phrase."""
        found: dict[str, float] = {}
        for _start, _end, name, weight in self.found(terms):
            found[name] = max(weight, found.get(name, 0.0))
        return found

    def found(self, terms: Sequence[str]) -> Iterator[tuple[int, int, str, float]]:
        """Yield each meaning in a run of terms: its first term, its end, itself, how nearly."""
        for start in range(len(terms)):
            for end in range(start + 1, min(start + _LONGEST, len(terms)) + 1):
                phrase = " ".join(terms[start:end])
                for name, weight in self.phrases.get(phrase, {}).items():
                    if self._settled(phrase, name, terms):
                        yield start, end, name, weight

    def _settled(self, phrase: str, name: str, around: Sequence[str]) -> bool:
        """Return whether a phrase means this beside these terms."""
        senses = self.senses.get(phrase)
        return senses is None or not set(senses.get(name, ())).isdisjoint(around)


NONE = Thesaurus({}, {}, {})


@functools.cache
def shipped() -> Thesaurus:
    """Return the thesaurus of the program."""
    return Thesaurus(**json.loads((DATA / "compiled.json").read_bytes()))


@functools.cache
def digest() -> int:
    """Return what tells one edition from another: an index holds the meanings of its own."""
    return zlib.crc32((DATA / "compiled.json").read_bytes())


def compiled() -> str:
    """Return what `data/compiled.json` has to hold."""
    groups, senses = (
        (DATA / name).read_text(encoding="utf-8") for name in ("thesaurus.txt", "senses.txt")
    )
    plain = asdict(read(groups, senses))
    return json.dumps(plain, separators=(",", ":"), sort_keys=True, ensure_ascii=False) + "\n"


def read(groups: str, senses: str) -> Thesaurus:
    """Return the thesaurus of the two texts; their form stands at the head of each file."""
    phrases: dict[str, dict[str, float]] = {}
    for line in _lines(groups):
        for phrase, name, weight in _group(line):
            mine = phrases.setdefault(phrase, {})
            mine[name] = max(mine.get(name, 0.0), weight)
    settled: dict[str, dict[str, list[str]]] = {}
    for line in _lines(senses):
        word, name, cues = _sense(line)
        near = settled.setdefault(word, {}).setdefault(name, [])
        near += sorted(cues - {*near})
        phrases.setdefault(word, {}).setdefault(name, 1.0)
    return Thesaurus(phrases, settled, dict(_words(groups + senses)), dict(_called(groups)))


def _lines(text: str) -> Iterable[str]:
    return (line for line in text.splitlines() if line.strip() and not line.startswith("#"))


def _group(line: str) -> Iterator[tuple[str, str, float]]:
    """Yield the phrases of a line, each with the meaning and how nearly."""
    same, *rest = _WEIGHED.split(line)
    weighed = [("1", same), *zip(rest[::2], rest[1::2], strict=True)]
    told = [(float(weight), word) for weight, words in weighed for word in words.split(",")]
    named = [(weight, phrase) for weight, word in told if (phrase := phrase_of(word))]
    for weight, phrase in named:
        yield phrase, MARK + named[0][1], weight


def _called(groups: str) -> Iterator[tuple[str, str]]:
    """Yield the term of each meaning that is no whole words, and the words that name it."""
    for line in _lines(groups):
        told = ",".join(_WEIGHED.split(line)[::2]).split(",")
        first = next(words for words in map(str.strip, told) if phrase_of(words))
        if phrase_of(first) != first:
            yield MARK + phrase_of(first), first


def _sense(line: str) -> tuple[str, str, set[str]]:
    """Return the word of a line, its meaning, and the terms that settle it."""
    told, cues = line.split(":")
    word, group = told.split(">")
    near = {term for cue in cues.split(",") for term in analysis.terms(cue)}
    return phrase_of(word), MARK + phrase_of(group), near


def _words(text: str) -> Iterator[tuple[str, str]]:
    """Yield the words of the texts, and those that the analysis knows, with their sound."""
    told = {word for line in _lines(text) for word in _LETTERS.findall(line.lower())}
    for word in sorted(told | vocabulary.STOP | vocabulary.NEGATED):
        if len(word) > 1:
            yield word, sounds.key(word)


def phrase_of(words: str) -> str:
    """Return the terms of a phrase, joined by blanks; of compounds the parts alone."""
    return " ".join(run_of(analysis.pieces(words)))


def run_of(pieces: Iterable[analysis.Piece]) -> list[str]:
    """Return the terms of some words in a row; of compounds the parts alone."""
    return [term for piece in pieces for term in analysis.parts(piece)]
