"""How a word sounds, roughly: what dictation mishears sounds the same.

The key keeps the consonants by class and drops vowels, since those are what differs between
'micro phone' and 'mike row phone'. Our own, for English; common practice, no source.
"""

import functools
import re

_RULES = [
    (re.compile(pattern), sound)
    for pattern, sound in (
        (r"[^a-z]+", ""),
        (r"^(?:kn|gn|pn)", "n"),
        (r"^wr", "r"),
        (r"^ps", "s"),
        (r"^x", "s"),
        (r"mb$", "m"),
        (r"tch|sch|ch|sh", "X"),
        (r"[ts]ure(?=[sd]?$)", "Xr"),
        (r"(?:[tsc]i|ss?i)(?=o[nu]|a[ln])", "X"),
        (r"dge?|j|ge(?=s?$)", "X"),
        (r"ph|v", "f"),
        (r"gh", ""),
        (r"ck|q|c(?![eiy])", "k"),
        (r"c|z", "s"),
        (r"x", "ks"),
        (r"th|d", "t"),
        (r"g", "k"),
        (r"^[aeiou]", "A"),
        (r"(?<!^)[aeiouhwy]|^h", ""),
        (r"(.)\1+", r"\1"),
    )
]
# The names of letters as dictation writes them.
LETTERS = {
    name: letter
    for letter, names in {
        "a": "eh hey", "b": "bee be", "c": "see sea cee", "d": "dee", "e": "ee", "f": "eff",
        "g": "gee", "h": "aitch haitch", "i": "eye", "j": "jay", "k": "kay cay", "l": "ell el",
        "m": "em", "n": "en", "o": "oh owe", "p": "pee pea", "q": "queue cue", "r": "are ar",
        "s": "ess", "t": "tee tea", "u": "you yew", "v": "vee", "w": "doubleyou", "x": "ex",
        "y": "why wye", "z": "zed zee",
    }.items()
    for name in names.split()
}  # fmt: skip


@functools.lru_cache(maxsize=65_536)
def key(word: str) -> str:
    """Return the key of a folded word; words that sound alike have the same."""
    for pattern, sound in _RULES:
        word = pattern.sub(sound, word)
    return word


def spelt(words: tuple[str, ...]) -> str | None:
    """Return the letters that words spell, none where one of them is no letter's name."""
    letters = [word if len(word) == 1 else LETTERS.get(word) for word in words]
    return None if None in letters else "".join(filter(None, letters))
