"""How far each printer's print lies off, as the settings keep it: 'office: 0.8 -1.2; roll: 0 0.5'.

Two numbers of millimetres a printer: how far its print is moved to the right and down, so that it
lies where it should.
"""

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

MOST = 20.0
_NAME = re.compile(r"[^:;\s](?:[^:;]{0,38}[^:;\s])?")


class Offset(NamedTuple):
    """How far print is moved, in millimetres."""

    right: float
    down: float


def read(text: str) -> dict[str, Offset]:
    """Return the printers by name.

    Raises:
        ValueError: Naming the part that is wrong.
    """
    found: dict[str, Offset] = {}
    for part in filter(None, (piece.strip() for piece in text.split(";"))):
        name, mark, numbers = (piece.strip() for piece in part.partition(":"))
        try:
            right, down = (float(number) for number in numbers.split())
        except ValueError:
            mark = ""
        if not mark:
            msg = f"'{part}' is no printer with its offset. Write it like 'office: 0.8 -1.2'."
            raise ValueError(msg)
        found[checked_name(name)] = checked(right, down)
    return found


def written(printers: Mapping[str, Offset]) -> str:
    """Return the printers as the settings keep them."""
    return "; ".join(
        f"{name}: {one.right:g} {one.down:g}" for name, one in sorted(printers.items())
    )


def checked_name(name: str) -> str:
    """Return a printer's name.

    Raises:
        ValueError: It can't be kept.
    """
    if not _NAME.fullmatch(name):
        msg = f"'{name}' is no name for a printer. Take one of up to 40 characters, no : or ;."
        raise ValueError(msg)
    return name


def checked(right: float, down: float) -> Offset:
    """Return an offset.

    Raises:
        ValueError: It's larger than any printer's.
    """
    for value in (right, down):
        if not math.isfinite(value) or abs(value) > MOST:
            msg = f"{value:g} mm is no offset of a printer, those are up to {MOST:g} mm."
            raise ValueError(msg)
    return Offset(round(right, 2), round(down, 2))
