"""Whether the symptom lines of an entry are enough, apart from each other, and in many words."""

import re
from collections.abc import Iterator, Sequence
from itertools import combinations

LINES_NEEDED = 15
APART_FROM_TITLE = 3

# Words that only hold a sentence together.
_SMALL = frozenset(
    """
    a about after again all also am an and any anything are as at away back be because been
    before being but by came can cannot come comes could did do does doing done down each
    either else even ever every everything for from get gets getting give gives go goes
    going gone got had has have having he her here him his how i if in into is it its itself
    just let like made make makes many may me mine more most much must my neither no nobody
    none nor not nothing now of off ok on once one only onto or other others our out over
    own please put quite rather really same say says see seem seems she should since so some
    something still such take than that the their them then there these they thing things
    this those though through till to too two under until up upon us very was we went were
    what when where whether which while who whole whose why will with within without would
    yet you your
    """.split()  # noqa: SIM905 - one word a line would fill three pages
)
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)?")
_SHORT = 3


def content_words(text: str) -> frozenset[str]:
    """Return the words that carry the meaning, in lower case and without a plural's s."""
    words = (word.split("'")[0] for word in _WORD.findall(text.casefold().replace("\u2019", "'")))
    return frozenset(_singular(word) for word in words if word not in _SMALL and len(word) > 1)


def _singular(word: str) -> str:
    plural = len(word) > _SHORT and word.endswith("s") and not word.endswith("ss")
    return word[:-1] if plural else word


def too_near(symptoms: Sequence[str]) -> Iterator[tuple[int, int, frozenset[str]]]:
    """Yield the pairs of lines that share more than half of their content words, and the words.

    The share counts on both lines together (Dice's coefficient over one half).
    """
    words = [content_words(symptom) for symptom in symptoms]
    for (i, one), (j, other) in combinations(enumerate(words), 2):
        shared = one & other
        if 4 * len(shared) > len(one) + len(other):
            yield i, j, shared


def apart_from(title: str, symptoms: Sequence[str]) -> int:
    """Return how many lines share no content word with the title."""
    words = content_words(title)
    return sum(not words & content_words(symptom) for symptom in symptoms)
