"""What an entry's symptom lines say in passing: on one thing or on all, and since when."""

import re
from collections.abc import Iterable, Mapping

# Own choice, no source: words that say it in the lines of many hands.
_WORDS: Mapping[str, Mapping[str, str]] = {
    "scope": {
        "one": "one only single just left right second third four five other others "
        "neighbour mine my this that",
        "all": "all every everything everybody everyone each whole entire both nobody none "
        "anywhere everywhere any nothing",
    },
    "since": {
        "start": "start starts started boot boots booting login switch switched on power "
        "powered powering turned morning wake wakes woke begin setup ready",
        "midway": "suddenly sudden mid midway middle during while then minutes hour hours "
        "halfway after until now again sometimes random keeps",
        "change": "new changed moved swapped replaced since update updated upgrade yesterday "
        "was used borrowed plugged replugged added",
    },
}
TRAITS: Mapping[str, tuple[str, ...]] = {name: tuple(kinds) for name, kinds in _WORDS.items()}
_SETS = {
    name: {kind: frozenset(words.split()) for kind, words in kinds.items()}
    for name, kinds in _WORDS.items()
}
_WORD = re.compile(r"[a-z]+")
# Lines that say nothing of it pull each share towards even; own choice, no source.
_DOUBT = 2.0


def counted(lines: Iterable[str]) -> dict[str, dict[str, int]]:
    """Return in how many lines each trait is said each way."""
    words = [frozenset(_WORD.findall(line.casefold())) for line in lines]
    return {
        name: {
            kind: sum(not said.isdisjoint(line) for line in words) for kind, said in kinds.items()
        }
        for name, kinds in _SETS.items()
    }


def share(counts: Mapping[str, int], kind: str) -> float:
    """Return how likely an entry is meant by who answers this way, over 0 and below 1.

    Args:
        counts: In how many of its lines the trait is said each way.
        kind: The answer.
    """
    return (counts[kind] + _DOUBT) / (sum(counts.values()) + _DOUBT * len(counts))
