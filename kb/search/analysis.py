"""How text becomes terms, one way for index and query alike.

Accents, case and typographic marks are folded; small words count (`vocabulary.STOP` is short);
compounds give their parts and the whole ('wi-fi': wi, fi, wifi), numbers keep their points and
take their unit ('48 kHz', '48k': 48k); spelling is made British, then words are stemmed.
"""

import functools
import re
import threading
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

import snowballstemmer

from kb.search import vocabulary

WORD_LIMIT = 64  # longer runs are no words: they are cut, so that a term stays small
_WHOLE_LIMIT = 3  # compounds of more parts give no whole

_MARKS = str.maketrans(
    {
        "\u2018": "'", "\u2019": "'", "\u02bc": "'", "`": "'", "\u00b4": "'",
        "\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2014": " ",
        "\u2044": "/", "\u00ad": None, "\u200b": None, "\u200c": None, "\u200d": None,
        "\u00f8": "o", "\u00d8": "O", "\u0142": "l", "\u0141": "L", "\u0111": "d", "\u0110": "D",
        "\u00e6": "ae", "\u00c6": "AE", "\u0153": "oe", "\u0152": "OE", "\u0131": "i",
    }
)  # fmt: skip
_TOKEN = re.compile(r"[^\W_]+(?:(?:['&-]|(?<=\d)[.,:/](?=\d))[^\W_]+)*")
_PART = re.compile(r"\d+(?:[.,:/]\d+)*|[^\W\d_]+|[^\W_]")
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+")
_IZE = re.compile(r"(\w{4,})iz(e|ed|es|er|ers|ing|ation|ations)")
_YZE = re.compile(r"(\w{3,})yz(e|ed|es|er|ers|ing)")
_DOUBLE_L = re.compile(rf"({'|'.join(vocabulary.SINGLE_L)})l(ed|ing|er|ers)")

_stemmer = snowballstemmer.stemmer("english")
_stemmer_lock = threading.Lock()  # the stemmer keeps the word it works on in itself


@dataclass(frozen=True)
class Piece:
    """One word as it was written, and the terms it stands for.

    Attributes:
        surface: The word, folded.
        terms: What is looked up for it; none for a stop word.
    """

    surface: str
    terms: tuple[str, ...]


def terms(text: str, stop: frozenset[str] = vocabulary.STOP) -> list[str]:
    """Return the terms of a text, in its order, repeated ones included."""
    return [term for piece in pieces(text, stop) for term in piece.terms]


def pieces(text: str, stop: frozenset[str] = vocabulary.STOP) -> list[Piece]:
    """Return the words of a text with their terms, stop words without any."""
    found: list[Piece] = []
    for match in _TOKEN.finditer(fold(text)):
        surface = match.group()[:WORD_LIMIT]
        joined = _measure(found[-1].surface, surface) if found else None
        made = _terms_of(surface, stop)
        found.append(Piece(surface, (*made, joined) if joined else made))
    return found


def parts(piece: Piece) -> tuple[str, ...]:
    """Return the terms of a word without the wholes that its parts make together."""
    made = len(_PART.findall(piece.surface)) if not piece.surface.isalpha() else 1
    return piece.terms[:made] or piece.terms


def fold(text: str) -> str:
    """Return the text without accents, case and typographic marks."""
    if text.isascii():
        return text.lower().replace("`", "'")
    plain = unicodedata.normalize("NFKD", text.translate(_MARKS).casefold())
    bare = "".join(character for character in plain if not unicodedata.combining(character))
    return bare.translate(_MARKS).casefold()


def exact_key(text: str) -> str:
    """Return what a code, name or serial number is looked up by: its letters and digits alone."""
    return "".join(character for character in fold(text) if character.isalnum())


def _terms_of(surface: str, stop: frozenset[str]) -> tuple[str, ...]:
    """Return the terms of one folded word."""
    if surface.isalpha():
        return _words(surface, stop)
    if surface.endswith("n't"):
        return ("not",)
    base, mark, tail = surface.rpartition("'")
    if mark and tail in vocabulary.CLITICS:
        return _terms_of(base, stop)
    return tuple(_compound(_PART.findall(surface), stop))


def _compound(parts: list[str], stop: frozenset[str]) -> Iterator[str]:
    """Yield the terms of the parts, and the whole where it is short enough to be one."""
    plain = [_number(part) if part[0].isdigit() else part for part in parts]
    for part in plain:
        if part[0].isdigit():
            yield from _numbers(part)
        else:
            yield from _words(part, stop)
    if 1 < len(plain) <= _WHOLE_LIMIT:
        measured = _measure(*plain) if len(plain) == 2 else None  # noqa: PLR2004 - number, unit
        yield measured or _word("".join(plain))


def _words(word: str, stop: frozenset[str]) -> tuple[str, ...]:
    """Return the term of a word of letters, none for a stop word."""
    if word in vocabulary.NEGATED:
        return ("not",)
    return () if word in stop else (_word(word),)


def _numbers(number: str) -> Iterator[str]:
    """Yield the number, and the first half of an address of the network."""
    yield number
    groups = number.split(".")
    if len(groups) > 2:  # noqa: PLR2004 - 169.254.10.7 is also looked for as 169.254
        yield ".".join(groups[:2])


def _number(digits: str) -> str:
    """Return a number with a decimal point, without thousands and leading noughts."""
    if _THOUSANDS.fullmatch(digits):
        return digits.replace(",", "")
    return (digits.lstrip("0") or "0") if digits.isdigit() else digits.replace(",", ".")


def _measure(number: str, unit: str) -> str | None:
    """Return the two as one measure, none where they are not a number and its unit."""
    short = vocabulary.UNITS.get(unit)
    if short is None or not _PART.fullmatch(number) or not number[0].isdigit():
        return None
    return _number(number) + short


@functools.lru_cache(maxsize=65_536)
def _word(word: str) -> str:
    """Return the stem of a folded word in British spelling."""
    if not word.isascii():
        return word
    with _stemmer_lock:
        return str(_stemmer.stemWord(_british(word)))


def _british(word: str) -> str:
    """Return the British spelling of a word that has two."""
    if word in vocabulary.BRITISH_WORDS:
        return vocabulary.BRITISH_WORDS[word]
    for american, british in vocabulary.BRITISH_BEGINNINGS.items():
        if word.startswith(american):
            return british + word[len(american) :]
    if match := _IZE.fullmatch(word):
        return f"{match[1]}is{match[2]}"
    if match := _YZE.fullmatch(word):
        return f"{match[1]}ys{match[2]}"
    if match := _DOUBLE_L.fullmatch(word):
        return match[1] + match[2]
    return word
