"""Text as it is drawn from left to right, whatever its script.

Hebrew and Arabic are put in the order in which they're seen (Unicode's bidirectional algorithm,
UAX 9), Arabic letters in the form that joins them to their neighbours.
"""

import functools
import unicodedata

import arabic_reshaper
from bidi.algorithm import get_display

_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI"})


@functools.lru_cache(maxsize=4096)
def drawn(text: str) -> str:
    """Return the text's characters in the order and form in which they're drawn."""
    if not any(unicodedata.bidirectional(character) in _RIGHT_TO_LEFT for character in text):
        return text
    return str(get_display(_joiner().reshape(text)))


@functools.cache
def _joiner() -> arabic_reshaper.ArabicReshaper:
    """Return what joins letters; the one ligature of a whole word is in few typefaces."""
    return arabic_reshaper.ArabicReshaper({"ARABIC LIGATURE ALLAH": "no"})
