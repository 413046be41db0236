"""Read what a scanner typed or a camera saw: the code in it, whatever stands around it.

A handheld scanner types as a keyboard would; where it and the host disagree about the layout,
some characters arrive as others. The layouts are xkeyboard-config's `us`, `de` and `fr`, levels
1 and 2. A reading counts only where the code's check character agrees.
"""

import re

from kb.errors import InvalidError
from kb.gear import codes

# What arrives on a German and a French host -> what a scanner set to US typed.
_GERMAN = str.maketrans("YZyzÖö-ß(_", "ZYzy:;/-*?")
_FRENCH = str.maketrans("&é\"'(-è_çàQAWZqawz?,Mm!:)", "1234567890AQZWaqzwMm:;/.-")
_ENDS = re.compile(r"[/?#&=]")


def code_in(typed: str) -> str | None:
    """Return the code that was scanned or typed, alone or at the end of an address; None for none.

    The host in an address doesn't count: labels outlive it.
    """
    text = typed.strip()
    for reading in (text, text.translate(_GERMAN), text.translate(_FRENCH)):
        found = _code(reading)
        if found is not None:
            return found
    return None


def _code(text: str) -> str | None:
    parts = [part for part in _ENDS.split(text) if part]
    if not parts or not codes.looks_like_code(parts[-1]):
        return None
    try:
        return codes.read(parts[-1])
    except InvalidError:
        return None
