"""One line of text: its white space folded, and guarded where Markdown would take it for a block.

Texts of the body are inline Markdown. At the start of a paragraph or a list item some of them
would be taken for a block of its own ('2. Press it' for a list, '# 3 is dead' for a heading).
In the file such a text carries a backslash, which Markdown shows as the bare character; in
memory it does not, so that each text has one form in memory and one in the file.
"""

import re
import unicodedata

# Block starts of CommonMark 0.31, sections 4 and 5. The last but one is a line of dashes, which
# behind a bullet makes a rule of the bullet; the last is a link definition, which shows nowhere.
_BLOCK = re.compile(
    r"#{1,6}(?: |$)|>|[-+*](?: |$)|`{3,}[^`]*$|~~~|([*_])(?: ?\1){2,}$|-[- ]*$|\[[^]]*\]:"
)
_NUMBER = re.compile(r"\A(\d{1,9})([.)](?: |$))", re.ASCII)
_GUARDED_NUMBER = re.compile(r"\A(\d{1,9})\\([.)](?: |$))", re.ASCII)

# Controls but tab and line feed, lone surrogates, what reorders its neighbours, no characters.
_REFUSED = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]"
)


def tidy(text: str) -> str:
    """Return the text in composed form on one line, its white space folded."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def tidy_inline(text: str) -> str:
    """Return a text that may open a block, tidied and without its guard."""
    folded = tidy(text)
    if folded.startswith("\\") and _BLOCK.match(folded, 1):
        return folded[1:]
    return _GUARDED_NUMBER.sub(r"\1\2", folded)


def guarded(text: str) -> str:
    """Return a tidied text as it must stand at the start of a block to be read as text."""
    if _BLOCK.match(text):
        return "\\" + text
    return _NUMBER.sub(r"\1\\\2", text)


def refused_character(text: str) -> str | None:
    """Return the first character that no entry may hold, such as a control, or None."""
    found = _REFUSED.search(text)
    return found[0] if found else None
