"""One field of the front matter at a time: a node and what it ought to be.

A missing node gives a placeholder in silence: that it is missing was noted by who looked for it.
"""

import re
from enum import StrEnum
from typing import TypeVar

from kb.entries.nodes import Listing, Node, Scalar, Table
from kb.entries.source import Notes

LINE_LIMIT = 300

_KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_KEY_LIMIT = 60
_DURATION = re.compile(r"([1-9][0-9]{0,4})(s|min)")
_WORDS_MEND = "Write it in braces, as {name: word, other name: word}."

WordT = TypeVar("WordT", bound=StrEnum)


def values(
    node: Node | None,
    what: str,
    known: tuple[str, ...],
    needed: tuple[str, ...],
    notes: Notes,
    first_line: int = 1,
) -> dict[str, Node]:
    """Return a table's values by name; unknown and missing names are noted."""
    if not isinstance(node, Table):
        line = node.line if node else first_line
        notes.find(line, f"{what} is no table. Write 'name: value' for each of: {_list(needed)}.")
        return {}
    found = {name.text: value for name, value in node.pairs}
    for name, _value in node.pairs:
        if name.text not in known:
            notes.find(name.line, f"{what} knows no '{name.text}'. Known are: {_list(known)}.")
    for missing in needed:
        if missing not in found:
            notes.find(node.line, f"{what} has no '{missing}'. Add it.")
    return found


def _list(names: tuple[str, ...]) -> str:
    return ", ".join(names)


def line(node: Node | None, notes: Notes) -> str:
    """Return one line of text, neither empty nor too long."""
    if node is None:
        return ""
    if not isinstance(node, Scalar):
        notes.find(node.line, "a line of text belongs here. Put it in double quotes.")
        return ""
    text = node.text
    if not text:
        notes.find(node.line, "the text is empty. Write it, or take the name out.")
    if len(text) > LINE_LIMIT:
        notes.find(
            node.line, f"{len(text)} characters are too many: {LINE_LIMIT} fit. Shorten it."
        )
    return text


def key(node: Node | None, notes: Notes) -> str:
    """Return a key or slug: lower-case words with hyphens."""
    text = line(node, notes)
    if node and text and not (_KEY.fullmatch(text) and len(text) <= _KEY_LIMIT):
        mend = f"Write lower-case letters, digits and single hyphens, at most {_KEY_LIMIT}."
        notes.find(node.line, f"'{text}' is no key. {mend}")
    return text


def items(node: Node | None, name: str, notes: Notes) -> tuple[Node, ...]:
    """Return what a list holds; an empty list is noted."""
    if node is None:
        return ()
    if not isinstance(node, Listing):
        notes.find(node.line, f"'{name}' is no list. Write one value a line, each behind '- '.")
        return ()
    if not node.items:
        notes.find(node.line, f"'{name}' is empty. Fill it, or take it out.")
    return node.items


def lines(node: Node | None, notes: Notes, name: str) -> tuple[str, ...]:
    """Return a list's texts, and note on which line each stands by its number."""
    found = items(node, name, notes)
    for number, item in enumerate(found):
        notes.lines[name, number] = item.line
    return tuple(line(item, notes) for item in found)


def keys(node: Node | None, notes: Notes, name: str) -> tuple[str, ...]:
    """Return a list's keys, and note on which line each stands by itself."""
    found = []
    for item in items(node, name, notes):
        text = key(item, notes)
        if text in found:
            notes.find(item.line, f"'{text}' comes twice in '{name}'. Keep one of them.")
        notes.lines[name, text] = item.line
        found.append(text)
    return tuple(found)


def word(node: Node | None, kind: type[WordT], default: WordT, notes: Notes) -> WordT:
    """Return one of the fixed words; the default stands in for any other text."""
    text = line(node, notes)
    try:
        return kind(text)
    except ValueError:
        if node and text:
            notes.find(node.line, f"'{text}' is none of: {_list(tuple(kind))}.")
        return default


def words(
    node: Node | None, kind: type[WordT], default: WordT, notes: Notes
) -> tuple[tuple[str, WordT], ...]:
    """Return the names of a table with a fixed word each."""
    if node is None:
        return ()
    if not isinstance(node, Table) or not node.pairs:
        notes.find(node.line, f"names with a word each belong here. {_WORDS_MEND}")
        return ()
    return tuple(
        (line(name, notes), word(value, kind, default, notes)) for name, value in node.pairs
    )


def duration(node: Node | None, notes: Notes) -> int:
    """Return a duration in seconds, written '20s' or '3min'."""
    text = line(node, notes)
    found = _DURATION.fullmatch(text)
    if found:
        return int(found[1]) * (60 if found[2] == "min" else 1)
    if node and text:
        notes.find(node.line, f"'{text}' is no duration. Write whole numbers: '20s' or '3min'.")
    return 1
