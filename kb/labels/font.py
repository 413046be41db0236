"""The typeface on labels: Vera, which arrives with reportlab and may be embedded freely.

It draws the Latin alphabets of western Europe and parts of the others; the lay-out replaces the
rest. No other declared dependency brings a typeface.
"""

import functools
from dataclasses import dataclass
from pathlib import Path

import reportlab
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "Vera", "VeraBd"

_FOLDER = Path(reportlab.__file__).parent / "fonts"
_NO_CHARACTER = 0xFFFF


@dataclass(frozen=True)
class VeraFace:
    """The regular and the bold cut, as reportlab measures them."""

    regular: TTFont
    bold: TTFont
    cap: float = 0.729  # 1493 of 2048 units, the height of H

    def width(self, text: str, *, bold: bool) -> float:
        """Return how wide the text runs, in em."""
        return float((self.bold if bold else self.regular).stringWidth(text, 1))

    def has(self, character: str) -> bool:
        """Tell whether both cuts can draw the character."""
        number = ord(character)
        return number != _NO_CHARACTER and number in self.regular.face.charToGlyph


@functools.cache
def load() -> VeraFace:
    """Read both cuts and make them known to reportlab."""
    fonts = [TTFont(name, str(path(name))) for name in (REGULAR, BOLD)]
    for font in fonts:
        pdfmetrics.registerFont(font)
    return VeraFace(*fonts)


def path(name: str) -> Path:
    """Return the file of a cut."""
    return _FOLDER / f"{name}.ttf"
