"""Which cables a stock's labels go round, and text that is read from any side of one."""

import math
from collections.abc import Iterator, Sequence

from kb.errors import InvalidError, Problem
from kb.gear import codes
from kb.labels import cable, text
from kb.labels.form import LINE_PITCH, Room
from kb.labels.marks import Line
from kb.labels.stock import Stock
from kb.labels.text import Face, LabelText

_SHOWN = 5
_COPIES = 2  # at least, where the least capitals allow


def require_cables(labels: Sequence[LabelText], stock: Stock) -> None:
    """Refuse what a stock of wraps can't go round.

    Raises:
        InvalidError: One is no cable, its diameter isn't known, or it's too thick.
    """
    thickest = stock.thickest_cable or 0.0
    others = [label for label in labels if label.end is None]
    unknown = [label for label in labels if label.end and label.diameter is None]
    thick = [label for label in labels if (label.diameter or 0.0) > thickest]
    problems = []
    if others:
        told = f"{stock.name} goes round cables, and {_named(others)} are none"
        problems.append(Problem("stock", f"{told}. Take another stock for those."))
    if unknown:
        told = f"how thick is {_named(unknown)}? Measure it and say it (--diameter 6.1), or keep"
        usual = "; ".join(cable.usual())
        problems.append(
            Problem(
                "diameter",
                f"{told} it with the model's technical data (diameter=6.1 mm). Usual outer "
                f"diameters in mm, to begin with: {usual}.",
            )
        )
    problems += [Problem("stock", sentence) for sentence in _too_short(thick, stock)]
    if problems:
        raise InvalidError(problems)


def too_thick(labels: Sequence[LabelText], stock: Stock) -> Iterator[str]:
    """Give a sentence where flags don't meet behind a cable."""
    thickest = stock.thickest_cable or 0.0
    thick = [label for label in labels if (label.diameter or 0.0) > thickest]
    if thick:
        yield (
            f"{_named(thick)}: {thick[0].diameter:g} mm thick, and a flag of {stock.name} goes "
            f"round {thickest:.1f} mm at most, so its faces won't meet. Take a longer one."
        )


def why_no_symbol(labels: Sequence[LabelText], symbol: float, diameter: float) -> str:
    """Return why a wrap carries text alone.

    Args:
        labels: Those of cables of one thickness.
        symbol: The width of the smallest symbol, without its quiet zone.
        diameter: The cables'.
    """
    told = f"{_named(labels)}: text alone."
    if cable.symbol_may_wrap(diameter, symbol):
        return f"{told} The print band has no room for a symbol; a flag does."
    return (
        f"{told} The smallest symbol is {symbol:.1f} mm wide, and round a cable of {diameter:g} "
        f"mm one of over {diameter / 2:.1f} mm isn't read. Take flags where it should be scanned."
    )


def typeset(label: LabelText, room: Room, face: Face, least: float) -> Iterator[Line]:
    """Give lines that say the same again and again, so that one copy faces any side.

    Args:
        label: What it says.
        room: The print band.
        face: The typeface.
        least: The least height of capitals.

    Raises:
        InvalidError: The code has no room.
    """
    code = " ".join(filter(None, (codes.shown(label.code), label.end)))
    rows = min(int(cable.copy_height(label.diameter or 0.0) / (least * LINE_PITCH)), 2) or 1
    wide = face.width(code, bold=True)
    cap = min(
        cable.copy_height(label.diameter or 0.0) / rows / LINE_PITCH,
        room.width * face.cap / wide,
        2 * least,
        max(least, room.height / _COPIES / rows / LINE_PITCH),
    )
    if cap < least:
        raise InvalidError([Problem("stock", _narrow(code, wide * least / face.cap, room.width))])
    limit = room.width * face.cap / cap
    named = text.cut(
        text.printable(label.name, face), lambda words: face.width(words, bold=True) <= limit
    )
    copy = (named, code) if rows > 1 and named else (code,)
    em, pitch = cap / face.cap, cap * LINE_PITCH
    for row in range(math.floor(room.height / pitch + 1e-9) // len(copy) * len(copy)):
        baseline = room.top + row * pitch + cap * (LINE_PITCH + 1) / 2
        yield Line(room.left, baseline, em, copy[row % len(copy)], bold=True)


def _too_short(thick: Sequence[LabelText], stock: Stock) -> Iterator[str]:
    if thick:
        diameter = max(label.diameter or 0.0 for label in thick)
        needed = cable.wrap_length(stock.print_band or 0.0, diameter)
        yield (
            f"{_named(thick)} with {diameter:g} mm needs a wrap of {needed:.1f} mm (print band, "
            f"once round, {cable.OVERLAP:g} mm over), {stock.name} has {stock.label_height:g} mm. "
            "Take a longer one, or flags."
        )


def _narrow(code: str, needed: float, there: float) -> str:
    return f"'{code}' needs {needed:.1f} mm and the label has {there:.1f} mm. Take a wider one."


def _named(labels: Sequence[LabelText]) -> str:
    names = list(dict.fromkeys(label.name or codes.shown(label.code) for label in labels))
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(names[:_SHOWN]) + more
