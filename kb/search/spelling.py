"""What a word that nobody knows was meant to be, from the words that are known.

Typing slips by the distance of optimal string alignment (a swap of neighbours is one slip), what
dictation mishears by its sound, words torn apart or run together, and the beginning of a word
that is still being typed. The limits are our own choice, no source.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from kb.search import sounds, vocabulary

_SHORTEST = 3  # letters; shorter words are never corrected
_TWO_SLIPS = 7  # letters of a word in which two slips are believed
_SAME_SOUND = 3  # sounds that two words must share to be taken for each other
# Likeness of spelling that words of the same sound must have: more where each of them is known.
_LIKENESS, _LIKENESS_OF_KNOWN = 0.35, 0.6
_SPELT = 5  # letters that a word may be spelt by
_RUN = 3  # words that may be one, torn apart
_TORN = 10  # letters of such a run, for slips in it to be believed
_HALF = 3  # letters of each half of words run together
_BEGINNING = 2  # letters that may be the beginning of a word
_COMPLETIONS = 3
# Small words are no part of a word that was torn apart, except where dictation ends one so.
_SMALL = vocabulary.STOP | vocabulary.SMALL
_ENDINGS = frozenset({"her", "us", "are", "or", "there"})
_AS_LETTER = frozenset({"sea", "see"})


@dataclass(frozen=True)
class Lexicon:
    """The words that are known.

    Attributes:
        keys: Word to how it sounds.
        sounding: The same, turned round.
        count: Return how much a word is in use.
        holds: Return whether a word is known, itself or in another form.
    """

    keys: Mapping[str, str]
    sounding: Mapping[str, Sequence[str]]
    count: Callable[[str], int]
    holds: Callable[[str], bool]


@dataclass(frozen=True)
class Reading:
    """What a run of words is read as.

    Attributes:
        start: The first word of the run.
        length: How many words.
        words: What they are read as; several are each possible.
    """

    start: int
    length: int
    words: tuple[str, ...]


def readings(words: Sequence[str], lexicon: Lexicon) -> Iterator[Reading]:
    """Yield what words are to be read as where that isn't what was typed.

    Args:
        words: The words of a query, folded; the last may be the beginning of a word.
        lexicon: The words that are known.
    """
    start = 0
    while start < len(words):
        reading = _run(words, start, lexicon) or _single(words, start, lexicon)
        if reading:
            yield reading
        start += reading.length if reading else 1


def _run(words: Sequence[str], start: int, lexicon: Lexicon) -> Reading | None:
    """Return the one word that several together are, the longest run first."""
    for length in range(min(_SPELT, len(words) - start), 1, -1):
        whole = sounds.spelt(tuple(words[start : start + length]))
        if (
            whole
            and whole in lexicon.keys
            and not all(w in _SMALL for w in words[start : start + length])
        ):
            return Reading(start, length, (whole,))
    for length in range(min(_RUN, len(words) - start), 1, -1):
        last = words[start + length - 1]
        begun = start + length == len(words) and not lexicon.holds(last) and _begun(last, lexicon)
        found = None if begun else _together(tuple(words[start : start + length]), lexicon)
        if found:
            return Reading(start, length, (found,))
    return None


def _together(parts: tuple[str, ...], lexicon: Lexicon) -> str | None:
    """Return the word that these are together."""
    joined = "".join(parts)
    if not joined.isalpha():
        return None
    if joined in lexicon.keys and not all(part in _SMALL for part in parts):
        return joined
    *front, last = parts
    if any(len(part) == 1 or part in _SMALL for part in front):
        return None
    if len(last) == 1 or (last in _SMALL and last not in _ENDINGS):
        return None
    return _heard(parts, lexicon) or _slipped(parts, lexicon)


def _heard(parts: tuple[str, ...], lexicon: Lexicon) -> str | None:
    """Return the word that sounds like these together."""
    joined = "".join(parts)
    strange = not all(lexicon.holds(part) for part in parts)
    least = _LIKENESS if strange else _LIKENESS_OF_KNOWN
    letters = "".join(sounds.LETTERS[part] if part in _AS_LETTER else part for part in parts)
    for heard in dict.fromkeys((joined, letters)):
        alike = [word for word in _alike(heard, lexicon) if not _ends(parts, word, lexicon)]
        likely = [word for word in alike if _likeness(word, heard) >= least]
        if likely:
            return max(likely, key=lambda word: (_likeness(word, heard), lexicon.count(word)))
    return None


def _slipped(parts: tuple[str, ...], lexicon: Lexicon) -> str | None:
    """Return the word that these together are but for a slip."""
    joined = "".join(parts)
    if len(joined) < _TORN:
        return None
    near = _near(joined, lexicon)
    return next((word for word in near if not _ends(parts, word, lexicon)), None)


def _ends(parts: tuple[str, ...], word: str, lexicon: Lexicon) -> bool:
    """Return whether a word is no more than one of these, perhaps with another ending."""
    if parts[-1] in _ENDINGS:
        return word in parts
    near = [part for part in parts if part in word and len(word) - len(part) < _HALF]
    return any(lexicon.holds(part) for part in near)


def _single(words: Sequence[str], start: int, lexicon: Lexicon) -> Reading | None:
    """Return what one word is read as, none where it is known or like nothing."""
    word = words[start]
    if not word.isalpha() or lexicon.holds(word):
        return None
    found = _begun(word, lexicon) if start == len(words) - 1 else ()
    if not found and len(word) >= _SHORTEST:
        found = _halves(word, lexicon) or _near(word, lexicon)[:1] or _sounding(word, lexicon)
    return Reading(start, 1, found) if found else None


def _begun(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return the words most in use that begin so."""
    if len(word) < _BEGINNING:
        return ()
    found = [each for each in lexicon.keys if each.startswith(word)]
    return tuple(sorted(found, key=lambda w: (-lexicon.count(w), len(w), w))[:_COMPLETIONS])


def _halves(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return the two words that one is made of."""
    for cut in range(_HALF, len(word) - _HALF + 1):
        halves = word[:cut], word[cut:]
        if all(half in lexicon.keys and lexicon.count(half) > 1 for half in halves):
            return (" ".join(halves),)
    return ()


def _sounding(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return the word that sounds like this one and is spelt most like it."""
    alike = _alike(word, lexicon)
    order = sorted(alike, key=lambda each: (-_likeness(each, word), -lexicon.count(each), each))
    return tuple(order[:1])


def _alike(heard: str, lexicon: Lexicon) -> Sequence[str]:
    key = sounds.key(heard)
    return lexicon.sounding.get(key, ()) if len(key) >= _SAME_SOUND else ()


def _near(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return the words that this one is a slip of, the likeliest first."""
    from rapidfuzz import process  # noqa: PLC0415 - a search without a slip does without it
    from rapidfuzz.distance import OSA  # noqa: PLC0415

    slips = 1 if len(word) < _TWO_SLIPS else 2
    pool = [each for each in lexicon.keys if abs(len(each) - len(word)) <= slips]
    if len(word) == _SHORTEST:  # of so short a word only a swap is believed
        pool = [each for each in pool if sorted(each) == sorted(word)]
    pool = [each for each in pool if len(each) >= _SHORTEST]
    found = process.extract(word, pool, scorer=OSA.distance, score_cutoff=slips, limit=None)
    order = sorted((slip + _doubt(each, word, lexicon), each) for each, slip, _ in found)
    return tuple(each for _, each in order)


def _doubt(meant: str, word: str, lexicon: Lexicon) -> float:
    """Return what speaks against one of several words as near as each other.

    Slips leave the first letter, the sound, or all letters as they are, more often than not;
    and a word in use is meant more often than a rare one. The weights are our own choice.
    """
    doubt = 0.0 if meant[0] == word[0] else 0.7
    doubt += 0.0 if sounds.key(meant) == sounds.key(word) else 0.4
    doubt += 0.0 if sorted(meant) == sorted(word) else 0.3
    return doubt - min(lexicon.count(meant), 30) / 60


def _likeness(one: str, other: str) -> float:
    from rapidfuzz.distance import OSA  # noqa: PLC0415

    return float(OSA.normalized_similarity(one, other))
