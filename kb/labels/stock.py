"""A label stock: what is known about a sheet or roll of labels, in numbers only."""

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, replace
from typing import Any

from kb.errors import InvalidError, Problem
from kb.labels import cable

# What lies nearer to a label's edge is cut off by the usual misfeed: common practice, no source.
EDGE = 1.0
# Play that lets the two faces of a flag meet behind the cable: our own rule.
SLACK = 2.0

_COUNTS = frozenset({"columns", "rows", "dpi"})
_MAY_BE_ZERO = frozenset({"margin_left", "margin_top", "corner", "dead_zone"})
_MOST_LABELS_ACROSS = 100
_LONGEST_PAGE = 600.0
_LEAST_DPI, _MOST_DPI = 150, 1200
_EXACT = 1e-6


@dataclass(frozen=True)
class Stock:
    """The numbers of one stock, lengths in millimetres.

    Attributes:
        name: The name of its file.
        page_width: Of the sheet, or of one label on a roll.
        page_height: Of the sheet, or of one label on a roll.
        columns: Labels across.
        rows: Labels down.
        pitch_x: From one label's left edge to the next one's.
        pitch_y: From one label's top edge to the next one's.
        margin_left: From the page's edge to the first label.
        margin_top: From the page's edge to the first label.
        label_width: Of one label.
        label_height: Of one label.
        corner: Radius of a label's corners.
        dead_zone: How far from the page's edge the printer prints nothing.
        dpi: Dots per inch of the printer.
        flag_face: Width of each of the two faces of a cable's flag, folded from one label;
            none where this stock makes no flags.
        print_band: How much of each label's height is printed on, from the top; the rest is clear
            and goes round a cable over it. None where this stock makes no wraps.
    """

    name: str
    page_width: float
    page_height: float
    columns: int
    rows: int
    pitch_x: float
    pitch_y: float
    margin_left: float
    margin_top: float
    label_width: float
    label_height: float
    corner: float
    dead_zone: float
    dpi: int
    flag_face: float | None = None
    print_band: float | None = None

    @property
    def margin_right(self) -> float:
        """From the last column to the page's edge."""
        taken = self.margin_left + (self.columns - 1) * self.pitch_x + self.label_width
        return self.page_width - taken

    @property
    def margin_bottom(self) -> float:
        """From the last row to the page's edge."""
        taken = self.margin_top + (self.rows - 1) * self.pitch_y + self.label_height
        return self.page_height - taken

    @property
    def inset_x(self) -> float:
        """How far print keeps from a label's left and right edge."""
        return max(EDGE, self.dead_zone - min(self.margin_left, self.margin_right))

    @property
    def inset_y(self) -> float:
        """How far print keeps from a label's top and bottom edge."""
        return max(EDGE, self.dead_zone - min(self.margin_top, self.margin_bottom))

    @property
    def thickest_cable(self) -> float | None:
        """The diameter that a flag or a wrap still goes round; none where it makes neither."""
        if self.print_band is not None:
            return cable.thickest_in_wrap(self.label_height, self.print_band)
        if self.flag_face is not None:
            return (self.label_width - 2 * self.flag_face - SLACK) / math.pi
        return None

    def corners(self) -> Iterator[tuple[float, float]]:
        """Give each label's left and top, row by row."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield (
                    self.margin_left + column * self.pitch_x,
                    self.margin_top + row * self.pitch_y,
                )

    def at(self, dpi: int) -> "Stock":
        """Return the same stock for another printer.

        Raises:
            InvalidError: For a resolution no printer has.
        """
        return _verified(replace(self, dpi=dpi))


def parse(text: str, name: str) -> Stock:
    """Read a stock from its TOML text.

    Raises:
        InvalidError: Naming every number that is missing, unknown or wrong.
    """
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InvalidError([Problem(f"stock {name}", f"it is no TOML: {error}.")]) from None
    problems = list(_misread(values))
    if problems:
        raise _refused(name, problems)
    return _verified(Stock(name=name, **values))


def _misread(values: Mapping[str, Any]) -> Iterator[Problem]:
    """Give what is missing, unknown or no number of the right kind."""
    known = {field.name: field for field in fields(Stock) if field.name != "name"}
    for unknown in sorted(values.keys() - known.keys()):
        yield Problem(unknown, f"no such number. Known are: {', '.join(known)}.")
    for key, field in known.items():
        if key not in values:
            if field.default is MISSING:
                yield Problem(key, "it is missing. Measure it and add it.")
            continue
        yield from _no_number(key, values[key])


def _no_number(key: str, value: object) -> Iterator[Problem]:
    """Give what is wrong with one value taken by itself."""
    whole = key in _COUNTS
    kind = int if whole else (int, float)
    if isinstance(value, bool) or not isinstance(value, kind) or not math.isfinite(value):
        wanted = "a whole number" if whole else "a number of millimetres"
        yield Problem(key, f"'{value}' is not {wanted}. Write it as one, without quotes.")
    elif value < 0 or (value == 0 and key not in _MAY_BE_ZERO):
        least = "0 or more" if key in _MAY_BE_ZERO else "more than 0"
        yield Problem(key, f"{value:g} is too small, it must be {least}. Measure it again.")


def _verified(stock: Stock) -> Stock:
    """Return the stock if its numbers agree with each other."""
    problems = [*_extreme(stock), *_overlapping(stock), *_misfitting(stock)]
    if problems:
        raise _refused(stock.name, problems)
    return stock


def _extreme(stock: Stock) -> Iterator[Problem]:
    """Give the numbers that no stock has."""
    for key in ("page_width", "page_height"):
        if getattr(stock, key) > _LONGEST_PAGE:
            yield Problem(key, f"{getattr(stock, key):g} mm is over {_LONGEST_PAGE:g} mm.")
    for key in ("columns", "rows"):
        if getattr(stock, key) > _MOST_LABELS_ACROSS:
            yield Problem(key, f"{getattr(stock, key)} is over {_MOST_LABELS_ACROSS}.")
    if not _LEAST_DPI <= stock.dpi <= _MOST_DPI:
        yield Problem(
            "dpi",
            f"{stock.dpi} is out of range, printers have {_LEAST_DPI} to {_MOST_DPI}. "
            "Take it from the printer's data sheet.",
        )


def _overlapping(stock: Stock) -> Iterator[Problem]:
    """Give the numbers by which labels overlap or leave the page."""
    for pitch, label in (("pitch_x", "label_width"), ("pitch_y", "label_height")):
        step, size = getattr(stock, pitch), getattr(stock, label)
        if step < size - _EXACT:
            yield Problem(
                pitch,
                f"{step:g} mm is less than the {label} of {size:g} mm, labels would overlap. "
                "Measure from one label's edge to the same edge of the next.",
            )
    for pitch, page, left in (
        ("pitch_x", "page_width", stock.margin_right),
        ("pitch_y", "page_height", stock.margin_bottom),
    ):
        if left < -_EXACT:
            yield Problem(
                page,
                f"the last label ends {-left:.2f} mm outside the page of "
                f"{getattr(stock, page):g} mm. Check the margin, {pitch} and how many there are.",
            )


def _misfitting(stock: Stock) -> Iterator[Problem]:
    """Give the numbers that don't go with the label's size."""
    shorter = min(stock.label_width, stock.label_height)
    if stock.corner > shorter / 2 + _EXACT:
        yield Problem(
            "corner",
            f"{stock.corner:g} mm is over half the label's shorter side. Measure it again.",
        )
    if 2 * stock.inset_x >= stock.label_width or 2 * stock.inset_y >= stock.label_height:
        yield Problem(
            "dead_zone", f"{stock.dead_zone:g} mm leaves nothing of the outer labels to print on."
        )
    if stock.print_band is not None and stock.flag_face is not None:
        yield Problem("print_band", "a label is a wrap or a flag. Leave one of the two out.")
    elif stock.thickest_cable is not None and stock.thickest_cable <= 0:
        yield from _no_way_round(stock)


def _no_way_round(stock: Stock) -> Iterator[Problem]:
    """Give the number by which nothing is left to go round a cable."""
    if stock.print_band is not None:
        yield Problem(
            "print_band",
            f"a band of {stock.print_band:g} mm leaves too little of {stock.label_height:g} mm to "
            f"go round a cable and {cable.OVERLAP:g} mm over itself. Measure it again.",
        )
    else:
        yield Problem(
            "flag_face",
            f"two faces of {stock.flag_face:g} mm leave nothing of {stock.label_width:g} mm to go "
            "round a cable. Make the faces narrower.",
        )


def _refused(name: str, problems: list[Problem]) -> InvalidError:
    return InvalidError(
        Problem(f"stock {name}, {problem.field}", problem.message) for problem in problems
    )
