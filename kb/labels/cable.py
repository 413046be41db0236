"""Labels that go round a cable: what fits on which diameter. Lengths are millimetres.

A wrap's print band goes round the cable first and its clear end over the band. A flag's two faces
meet behind the cable.
"""

import math
import re
from collections.abc import Iterator

OVERLAP = 3.0  # how far the clear end sticks to itself: common practice, no source

# Outer diameters to begin with. RG values: a public table of coaxial cables, inches converted; the
# rest from memory: common practice, no source. The one in the hand is measured.
USUAL = (
    ("RG-174", "2.6"),
    ("thin video coax", "4.5"),
    ("RG-59", "6.2"),
    ("microphone lead", "6 to 6.5"),
    ("network lead", "5.5 to 8"),
    ("HDMI lead", "5.5 to 7.5"),
)

_NUMBER = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,3})?)\s*(?:mm)?", re.IGNORECASE)
_THICKEST = 100.0


def wrap_length(band: float, diameter: float, overlap: float = OVERLAP) -> float:
    """Return how long a wrap must be: the print band, once round, and the overlap."""
    return band + math.pi * diameter + overlap


def thickest_in_wrap(length: float, band: float) -> float:
    """Return the diameter that a wrap's clear end still covers."""
    return (length - band - OVERLAP) / math.pi


def symbol_may_wrap(diameter: float, symbol: float) -> bool:
    """Tell whether a symbol stuck round the cable can still be read.

    Measured on drawn cylinders: with the symbol, its quiet zone left out, as wide as two thirds
    of the diameter one in four was read by two decoders, at half of it seven in eight.
    """
    return symbol <= diameter / 2


def copy_height(diameter: float) -> float:
    """Return how high text may be to be read from one side: 45 degrees up and down, our rule."""
    return math.pi * diameter / 4


def measured(typed: str) -> float | None:
    """Return an outer diameter as it stands in technical data ('6.1 mm'); None for none."""
    found = _NUMBER.fullmatch(typed.strip())
    value = float(found[1].replace(",", ".")) if found else 0.0
    return value if 0 < value <= _THICKEST else None


def usual() -> Iterator[str]:
    """Give the usual diameters in words."""
    for name, value in USUAL:
        yield f"{name} {value}"
