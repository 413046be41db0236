"""The text of a label: what stands on it, and how it's made to fit."""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, Protocol

ELLIPSIS = "…"
_MISSING = "\ufffd"

Fits = Callable[[str], bool]


@dataclass(frozen=True)
class LabelText:
    """What one label says.

    Attributes:
        code: The item's code.
        name: What the crew calls it; empty on a label printed ahead.
        end: Which end of a cable the label goes on; none for other items.
        lines: What else may stand there, the most useful first; dropped where there's no room.
        diameter: A cable's outer diameter in millimetres, if it's known.
    """

    code: str
    name: str
    end: Literal["A", "B"] | None = None
    lines: tuple[str, ...] = ()
    diameter: float | None = None


class Face(Protocol):
    """A typeface, as far as a label's lay-out needs it."""

    @property
    def cap(self) -> float:
        """The height of a capital letter, in em."""

    def width(self, text: str, *, bold: bool) -> float:
        """Return how wide the text runs, in em."""

    def has(self, character: str) -> bool:
        """Tell whether the face can draw the character."""


def printable(text: str, face: Face) -> str:
    """Return the text with what the face can't draw replaced.

    An accented letter falls back to its base letter, every dash to a hyphen; a run of anything
    else that's missing becomes one question mark.
    """
    composed = unicodedata.normalize("NFC", text)
    drawn = "".join(_drawn(character, face) for character in composed)
    return " ".join(re.sub(f"{_MISSING}+", "?", drawn).split())


def wrap(text: str, most: int, fits: Fits) -> tuple[str, ...]:
    """Break the text into at most so many lines that fit, the last one cut if need be."""
    lines: list[str] = []
    rest = text
    while rest and len(lines) < most:
        head = _head(rest, fits) if len(lines) < most - 1 else cut(rest, fits)
        lines.append(head.rstrip())
        rest = rest[len(head) :].lstrip() if len(lines) < most else ""
    return tuple(lines)


def cut(text: str, fits: Fits) -> str:
    """Return the text if it fits, else as much of it as does with an ellipsis."""
    if fits(text):
        return text
    kept = len(text) - 1
    while kept and not fits(text[:kept].rstrip() + ELLIPSIS):
        kept -= 1
    return text[:kept].rstrip() + ELLIPSIS


def _head(text: str, fits: Fits) -> str:
    """Return the longest beginning that fits, up to a space or hyphen where there's one."""
    if fits(text):
        return text
    kept = len(text) - 1
    while kept > 1 and not fits(text[:kept].rstrip()):
        kept -= 1
    broken = max(text.rfind(" ", 0, kept + 1), text.rfind("-", 0, kept)) + 1
    return text[: broken or kept]


def _drawn(character: str, face: Face) -> str:
    """Return what is drawn for the character; a mark of its own where nothing can be."""
    category = unicodedata.category(character)
    if character.isspace():
        return " "
    # A mark that has no letter of its own would need a place over its letter, which only a
    # typesetter finds; what steers other characters has no shape at all.
    if category in {"Cf", "Mn", "Me"}:
        return ""
    if face.has(character):
        return character
    if category == "Pd":
        return "-"
    base = "".join(part for part in unicodedata.normalize("NFKD", character) if face.has(part))
    return base or _MISSING
