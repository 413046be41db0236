"""How one label is divided between its symbol and its text.

All labels of a kind on a sheet share one form. The text comes first: the symbol takes the largest
module that leaves the text its size, and the text shrinks only where even the smallest module
leaves no room.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kb.errors import InvalidError, Problem
from kb.labels.marks import MM_PER_INCH
from kb.labels.qr import QUIET

LEAST_DOTS = 3
# Below this phones and scanners lose the modules; above the other nothing is gained in hand
# reach (0.8 mm is read from about 40 cm).
LEAST_MODULE, LARGEST_MODULE = 0.25, 0.8
HAND, DESK = 300.0, 500.0  # reading distances

LINE_PITCH = 1.65  # of the capital height, room for descenders and accents included

_STEPS = 6  # between the largest and the least capitals
_SHRINK = 0.7  # the widest line may be set this much smaller than the rest


@dataclass(frozen=True)
class Room:
    """A rectangle, in millimetres from the label's top left."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Form:
    """Where the symbol and the text go, and how large.

    Attributes:
        dots: The side of a module, in printer dots.
        symbol: The symbol with its quiet zone.
        text: What is left for the text.
        cap: The height of the text's capitals.
        whole: The same of the lines that are never cut: the code, and the end of a cable.
        beside: Whether the text stands beside the symbol; else it stands under it, centred.
        least: The least height of capitals.
    """

    dots: int
    symbol: Room
    text: Room
    cap: float
    whole: float
    beside: bool
    least: float


@dataclass(frozen=True)
class Need:
    """What the labels of one kind must hold at least.

    Attributes:
        modules: The symbol's modules a side, without the quiet zone.
        widest: The width of the widest line that must not be cut, in em.
        lines: Lines of text that no label may leave out.
        cap: The typeface's capital height, in em.
        distance: From how far the text is read; None for a hand's reach, more where there's room.
        module: The module that is wished for; None for the largest that leaves room.
        most: The widest that the bare symbol may be.
    """

    modules: int
    widest: float
    lines: int
    cap: float
    distance: float | None = None
    module: float | None = None
    most: float = math.inf

    @property
    def least_cap(self) -> float:
        """The least height of capitals."""
        return cap_heights(self.distance or HAND)[0]

    @property
    def largest_cap(self) -> float:
        """The height of capitals where there's room."""
        return cap_heights(self.distance or DESK)[1]


def scan_distance(symbol: float) -> float:
    """Return from how far a phone reads a symbol of that width: common practice, no source."""
    return 10 * symbol


def cap_heights(distance: float) -> tuple[float, float]:
    """Return the least and the preferred capital height to be read from a distance.

    Source: NUREG-0700 rev. 3, 11.4.1.5-1 (15 and 20 minutes of arc).
    """
    return 0.004 * distance, 0.006 * distance


def whole_dots(wish: float, dpi: int) -> tuple[int, float]:
    """Return the whole dots nearest to a wished module size, and the size they give."""
    dots = round(wish * dpi / MM_PER_INCH)
    return dots, dots * MM_PER_INCH / dpi


def side(modules: int, dots: int, dpi: int) -> float:
    """Return the side of a symbol with its quiet zone."""
    return (modules + 2 * QUIET) * dots * MM_PER_INCH / dpi


def fit(room: Room, need: Need, dpi: int) -> Form:
    """Return the form with the largest text, and for it the largest symbol.

    Raises:
        InvalidError: When not even the smallest does; it says what would be needed.
    """
    for cap in _caps(need):
        for form in _candidates(room, need, dpi, cap):
            if _holds(form, need):
                return form
    least = min(_dots(need, dpi), default=least_dots(dpi))
    symbol, width = side(need.modules, least, dpi), need.widest * need.least_cap / need.cap
    raise InvalidError(
        [
            Problem(
                "stock",
                f"a label has {room.width:.1f} x {room.height:.1f} mm to print on. The symbol "
                f"needs {symbol:.1f} x {symbol:.1f} mm ({need.modules} modules of {least} dots at "
                f"{dpi} dpi and the quiet zone), and beside or under it the text needs "
                f"{width:.1f} x {need.lines * need.least_cap * LINE_PITCH:.1f} mm. Take a larger "
                "label, a printer with finer dots, or a shorter host.",
            )
        ]
    )


def least_dots(dpi: int) -> int:
    """Return the fewest dots that a module may have."""
    return max(LEAST_DOTS, math.ceil(LEAST_MODULE * dpi / MM_PER_INCH))


def _caps(need: Need) -> Iterator[float]:
    """Give capital heights to try, the largest first."""
    largest, least = need.largest_cap, need.least_cap
    for step in range(_STEPS + 1):
        yield largest * (least / largest) ** (step / _STEPS)


def _dots(need: Need, dpi: int) -> range:
    """Return the sides of a module to try, the largest first."""
    least = least_dots(dpi)
    if need.module is not None:
        wished = max(LEAST_DOTS, whole_dots(need.module, dpi)[0])
        return range(wished, wished - 1, -1)
    largest = max(least, whole_dots(LARGEST_MODULE, dpi)[0])
    if need.most < math.inf:
        largest = min(largest, int(need.most / need.modules * dpi / MM_PER_INCH + 1e-9))
    return range(largest, least - 1, -1)


def _candidates(room: Room, need: Need, dpi: int, cap: float) -> Iterator[Form]:
    """Give the forms to try, the largest symbol first."""
    dot = MM_PER_INCH / dpi
    for dots in _dots(need, dpi):
        square = side(need.modules, dots, dpi)
        # One dot of play, for the symbol moves to the nearest whole dot of the page.
        if square + dot <= min(room.width, room.height):
            for beside in (True, False):
                symbol, rest = (_beside if beside else _under)(room, square)
                whole = min(cap, rest.width * need.cap / need.widest)
                yield Form(dots, symbol, rest, cap, whole, beside, need.least_cap)


def _beside(room: Room, square: float) -> tuple[Room, Room]:
    """Divide the room: the symbol at the left, the text at the right."""
    top = room.top + (room.height - square) / 2
    rest = Room(room.left + square, room.top, room.width - square, room.height)
    return Room(room.left, top, square, square), rest


def _under(room: Room, square: float) -> tuple[Room, Room]:
    """Divide the room: the symbol on top, the text under it."""
    left = room.left + (room.width - square) / 2
    rest = Room(room.left, room.top + square, room.width, room.height - square)
    return Room(left, room.top, square, square), rest


def _holds(form: Form, need: Need) -> bool:
    """Tell whether the text has room in both directions."""
    return (
        form.whole >= max(need.least_cap, form.cap * _SHRINK)
        and need.lines * form.cap * LINE_PITCH <= form.text.height
    )
