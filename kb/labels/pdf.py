"""A sheet of labels as PDF: exact millimetres, embedded type, the same bytes for the same input.

The edges of modules lie on the printer's dots, counted from the top left of the page, and each
dark run is drawn a little smaller on all sides: a renderer that paints every dot a shape touches
then paints exactly the module's dots.
"""

import io
from collections.abc import Iterator

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from kb.labels import font
from kb.labels.marks import Bar, Line, Page, Sheet, Symbol, Tick
from kb.labels.qr import Matrix

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
    canvas.setTitle(sheet.title)
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
    for bar in page.bars:
        _draw_bar(canvas, bar, height)


def _draw_symbol(canvas: Canvas, symbol: Symbol, dot: float, height: float) -> None:
    """Draw the symbol's dark runs as one shape.

    Args:
        canvas: Where to draw.
        symbol: What to draw.
        dot: The side of a printer dot, in points.
        height: Of the page, in points.
    """
    shape = canvas.beginPath()
    for row, column, length in _runs(symbol.modules):
        left = symbol.left + column * symbol.dots + _INSET
        bottom = symbol.top + (row + 1) * symbol.dots - _INSET
        shape.rect(
            left * dot,
            height - bottom * dot,
            (length * symbol.dots - 2 * _INSET) * dot,
            (symbol.dots - 2 * _INSET) * dot,
        )
    canvas.drawPath(shape, stroke=0, fill=1)


def _runs(modules: Matrix) -> Iterator[tuple[int, int, int]]:
    """Give each run of dark modules in a row: row, first column, length."""
    for number, row in enumerate(modules):
        start = None
        for column, dark in enumerate((*row, False)):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                yield number, start, column - start
                start = None


def _draw_line(canvas: Canvas, line: Line, height: float) -> None:
    canvas.setFont(font.BOLD if line.bold else font.REGULAR, line.em * mm)
    canvas.drawString(line.left * mm, height - line.baseline * mm, line.text)


def _draw_tick(canvas: Canvas, tick: Tick, height: float) -> None:
    canvas.setLineWidth(_HAIRLINE * mm)
    x, top = tick.left * mm, height - tick.top * mm
    canvas.line(x, top, x, top - tick.length * mm)


def _draw_bar(canvas: Canvas, bar: Bar, height: float) -> None:
    bottom = height - (bar.top + bar.height) * mm
    canvas.rect(bar.left * mm, bottom, bar.width * mm, bar.height * mm, stroke=0, fill=1)
