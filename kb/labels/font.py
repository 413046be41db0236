"""The typeface on labels: DejaVu Sans, which arrives with Matplotlib and may be embedded freely.

It draws Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and Arabic letters and a few dozen
faces; the lay-out replaces the rest.
"""

import functools
import importlib.util
from dataclasses import dataclass
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from kb.labels import scripts

REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"

_FOLDER = Path("mpl-data", "fonts", "ttf")
_NO_CHARACTER = 0xFFFF


@dataclass(frozen=True)
class DejaVuFace:
    """The regular and the bold cut, as reportlab measures them."""

    regular: TTFont
    bold: TTFont
    cap: float = 0.729  # 1493 of 2048 units, the height of H

    def width(self, text: str, *, bold: bool) -> float:
        """Return how wide the text runs, in em."""
        cut = self.bold if bold else self.regular
        return float(cut.stringWidth(scripts.drawn(text), 1))

    def has(self, character: str) -> bool:
        """Tell whether both cuts can draw the character."""
        number = ord(character)
        both = (self.regular, self.bold)
        return number != _NO_CHARACTER and all(number in cut.face.charToGlyph for cut in both)


@functools.cache
def load() -> DejaVuFace:
    """Read both cuts and make them known to reportlab."""
    fonts = [TTFont(name, str(path(name))) for name in (REGULAR, BOLD)]
    for font in fonts:
        pdfmetrics.registerFont(font)
    return DejaVuFace(*fonts)


def path(name: str) -> Path:
    """Return the file of a cut."""
    # Found, not imported: charts take their time to load.
    found = importlib.util.find_spec("matplotlib")
    folders = found.submodule_search_locations if found else None
    return Path((folders or ["matplotlib"])[0]) / _FOLDER / f"{name}.ttf"
