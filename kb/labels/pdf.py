"""A sheet of labels as PDF: exact millimetres, embedded type, the same bytes for the same input.

The edges of modules lie on the printer's dots, counted from the top left of the page, and each
dark run is drawn a little smaller on all sides: a renderer that paints every dot a shape touches
then paints exactly the module's dots.
"""

import functools
import io
import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from kb.labels import font, scripts
from kb.labels.marks import Box, Line, Page, Sheet, Symbol, Tick

_INSET = 0.02  # of a dot
_HAIRLINE = 0.2
_POINTS_PER_INCH = 72


def render(sheet: Sheet) -> bytes:
    """Return the finished PDF."""
    font.load()
    out = io.BytesIO()
    size = (sheet.width * mm, sheet.height * mm)
    canvas = Canvas(
        out, pagesize=size, pageCompression=1, invariant=1, initialFontName=font.REGULAR
    )
    canvas.setTitle("Labels")
    canvas.setAuthor("Kitlore")
    canvas.setCreator("Kitlore")
    canvas.setViewerPreference("PrintScaling", "None")
    for page in sheet.pages:
        _draw(canvas, page, sheet)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw(canvas: Canvas, page: Page, sheet: Sheet) -> None:
    height = sheet.height * mm
    for symbol in page.symbols:
        _draw_symbol(canvas, symbol, _POINTS_PER_INCH / sheet.dpi, height)
    for line in page.lines:
        _draw_line(canvas, line, height)
    for tick in page.ticks:
        _draw_tick(canvas, tick, height)


def _draw_symbol(canvas: Canvas, symbol: Symbol, dot: float, height: float) -> None:
    """Draw the symbol's dark runs as one shape.

    Args:
        canvas: Where to draw.
        symbol: What to draw.
        dot: The side of a printer dot, in points.
        height: Of the page, in points.
    """
    canvas.saveState()
    canvas.transform(dot, 0, 0, -dot, symbol.left * dot, height - symbol.top * dot)
    canvas.drawPath(_Runs(symbol), stroke=0, fill=1)
    canvas.restoreState()


@dataclass(frozen=True)
class _Runs:
    """The runs of a symbol as a path of the canvas, in dots from the symbol's top left."""

    symbol: Symbol

    def getCode(self) -> str:  # noqa: N802 - as the canvas calls it
        """Return the path's operators."""
        dots = self.symbol.dots
        return " ".join(
            _run(number, dots, begun, length)
            for number, row in enumerate(self.symbol.modules)
            for begun, length in _runs(row)
        )


@functools.lru_cache(maxsize=200_000)
def _run(row: int, dots: int, column: int, length: int) -> str:
    """Return the operator of one run; the same ones come in every symbol."""
    left, top = column * dots + _INSET, row * dots + _INSET
    width, height = length * dots - 2 * _INSET, dots - 2 * _INSET
    return f"{left:.2f} {top:.2f} {width:.2f} {height:.2f} re"


def _runs(row: tuple[bool, ...]) -> Iterator[tuple[int, int]]:
    """Give each run of dark modules in a row: first column, length."""
    column = 0
    for dark, run in itertools.groupby(row):
        length = sum(1 for _module in run)
        if dark:
            yield column, length
        column += length


def _draw_line(canvas: Canvas, line: Line, height: float) -> None:
    if line.box:
        _draw_box(canvas, line, line.box, height)
    canvas.setFont(font.BOLD if line.bold else font.REGULAR, line.em * mm)
    canvas.drawString(line.left * mm, height - line.baseline * mm, scripts.drawn(line.text))
    if line.box:
        canvas.setFillGray(0)


def _draw_box(canvas: Canvas, line: Line, box: Box, height: float) -> None:
    """Draw the box, and leave the canvas white for the text."""
    em = line.em * mm
    left = line.left * mm - box.before * em
    bottom = height - line.baseline * mm - (box.height - box.above) * em
    canvas.rect(left, bottom, box.width * em, box.height * em, stroke=0, fill=1)
    canvas.setFillGray(1)


def _draw_tick(canvas: Canvas, tick: Tick, height: float) -> None:
    canvas.setLineWidth(_HAIRLINE * mm)
    x, top = tick.left * mm, height - tick.top * mm
    canvas.line(x, top, x, top - tick.length * mm)
