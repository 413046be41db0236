"""A page that shows how a printer's print lies: frames, a line to measure, rulers from the edges.

The frames show where the labels should lie; held against the light with a sheet of labels, the
rulers show by how much they don't.
"""

import io
import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from kb.labels import font
from kb.labels.stock import Stock

LINE = 50.0
_HAIRLINE, _THIN = 0.1, 0.2
_TEXT = 2.6  # type size
_STEP = 10.0
_HIGH, _LOW = 0.2, 0.9  # of the first label's height: the line, the ruler across


@dataclass(frozen=True)
class _Paper:
    """The page being drawn; lengths are millimetres from its top left."""

    canvas: Canvas
    stock: Stock

    def line(self, x: float, y: float, to_x: float, to_y: float) -> None:
        """Draw a line."""
        high = self.stock.page_height
        self.canvas.line(x * mm, (high - y) * mm, to_x * mm, (high - to_y) * mm)

    def words(self, x: float, y: float, text: str, size: float = _TEXT) -> None:
        """Set a line of text on its baseline."""
        self.canvas.setFont(font.REGULAR, size * mm)
        self.canvas.drawString(x * mm, (self.stock.page_height - y) * mm, text)


def render(stock: Stock, right: float = 0.0, down: float = 0.0) -> bytes:
    """Return the page as PDF.

    Args:
        stock: What is in the printer.
        right: By how much print is moved already.
        down: By how much print is moved already.
    """
    font.load()
    out = io.BytesIO()
    size = (stock.page_width * mm, stock.page_height * mm)
    canvas = Canvas(out, pagesize=size, invariant=1, initialFontName=font.REGULAR)
    canvas.setTitle(f"Where print lies on {stock.name}")
    canvas.setCreator("Kitlore")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.translate(right * mm, -down * mm)
    paper = _Paper(canvas, stock)
    _frames(paper)
    _rulers(paper)
    _measure(paper)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def length(stock: Stock) -> float:
    """Return how long the line to measure is: 50 mm where there's room, else whole tens."""
    room = stock.page_width - 2 * max(stock.dead_zone, 1.0)
    return min(LINE, room // _STEP * _STEP)


def _frames(paper: _Paper) -> None:
    """Draw where each label lies."""
    stock, canvas = paper.stock, paper.canvas
    canvas.setLineWidth(_THIN * mm)
    for x, y in stock.corners():
        bottom = (stock.page_height - y - stock.label_height) * mm
        canvas.rect(x * mm, bottom, stock.label_width * mm, stock.label_height * mm)


def _rulers(paper: _Paper) -> None:
    """Draw millimetres from the page's left and top edge, through the first label."""
    stock = paper.stock
    paper.canvas.setLineWidth(_HAIRLINE * mm)
    x, y = stock.margin_left + stock.inset_x, stock.margin_top + stock.label_height * _LOW
    for step, long in _steps(stock.page_width):
        paper.line(step, y, step, y - long)
    for step, long in _steps(stock.page_height):
        paper.line(x, step, x + long, step)


def _steps(side: float) -> Iterator[tuple[float, float]]:
    """Give each millimetre of a side, and how long its mark is."""
    for step in itertools.takewhile(lambda number: number <= side, itertools.count()):
        yield float(step), 3.0 if step % 10 == 0 else 2.0 if step % 5 == 0 else 1.0


def _measure(paper: _Paper) -> None:
    """Draw the line to measure, and say what to do with it."""
    stock, long = paper.stock, length(paper.stock)
    in_label = stock.label_width >= long
    left, wide = (stock.margin_left, stock.label_width) if in_label else (0.0, stock.page_width)
    left += (wide - long) / 2
    # In the first row of labels, so that it's near where print matters.
    top = stock.margin_top + stock.label_height * _HIGH
    paper.canvas.setLineWidth(_THIN * mm)
    paper.line(left, top, left + long, top)
    for end in (left, left + long):
        paper.line(end, top - 1.5, end, top + 1.5)
    told = list(_told(stock, long))
    widest = max(font.load().width(text, bold=False) for text in told)
    size = min(_TEXT, long / widest, stock.label_height * (_LOW - _HIGH) / 2 / len(told))
    for number, text in enumerate(told, start=1):
        paper.words(left, top + number * 1.5 * size, text, size)


def _told(stock: Stock, long: float) -> Iterator[str]:
    yield f"{long:g} mm: measure it. If it's not, print at 100 %."
    yield f"{stock.name}: frames too far left or high? Then"
    yield "kitlore stock offset PRINTER --right MM --down MM"
