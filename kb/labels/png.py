"""A page of labels as one-bit PNG, one pixel for each dot of the printer."""

import io

from PIL import Image, ImageDraw, ImageFont

from kb.errors import InvalidError, Problem
from kb.labels import font, scripts
from kb.labels.marks import Line, Page, Sheet, Symbol, Tick

_HAIRLINE = 0.2
_PLAIN = ImageFont.Layout.BASIC  # letters are in order and joined already


def render(page: Page, sheet: Sheet) -> bytes:
    """Return the page's picture.

    Raises:
        InvalidError: When the page has more dots than a picture should.
    """
    size = (round(sheet.width / sheet.dot), round(sheet.height / sheet.dot))
    if size[0] * size[1] > (Image.MAX_IMAGE_PIXELS or 0):
        raise InvalidError(
            [
                Problem(
                    "dpi",
                    f"{sheet.dpi} make a picture of {size[0]} x {size[1]} dots, too many. "
                    "Take fewer dots per inch, or write a PDF.",
                )
            ]
        )
    picture = Image.new("1", size, color=1)
    draw = ImageDraw.Draw(picture)
    for symbol in page.symbols:
        _draw_symbol(draw, symbol)
    for line in page.lines:
        _draw_line(draw, line, sheet.dot)
    for tick in page.ticks:
        _draw_tick(draw, tick, sheet.dot)
    out = io.BytesIO()
    picture.save(out, format="PNG", dpi=(sheet.dpi, sheet.dpi))
    return out.getvalue()


def _draw_symbol(draw: ImageDraw.ImageDraw, symbol: Symbol) -> None:
    for number, row in enumerate(symbol.modules):
        for column, dark in enumerate(row):
            if dark:
                left = symbol.left + column * symbol.dots
                top = symbol.top + number * symbol.dots
                last = symbol.dots - 1
                draw.rectangle((left, top, left + last, top + last), fill=0)


def _draw_line(draw: ImageDraw.ImageDraw, line: Line, dot: float) -> None:
    name = font.BOLD if line.bold else font.REGULAR
    em, left, baseline = line.em / dot, line.left / dot, line.baseline / dot
    face = ImageFont.truetype(font.path(name), em, layout_engine=_PLAIN)
    box = line.box
    if box:
        edges = (left - box.before * em, baseline - box.above * em)
        size = (box.width * em, box.height * em)
        draw.rectangle((edges, (edges[0] + size[0], edges[1] + size[1])), fill=0)
    ink = 1 if box else 0
    draw.text((left, baseline), scripts.drawn(line.text), fill=ink, font=face, anchor="ls")


def _draw_tick(draw: ImageDraw.ImageDraw, tick: Tick, dot: float) -> None:
    half = _HAIRLINE / 2
    draw.rectangle(
        [
            round(edge / dot)
            for edge in (tick.left - half, tick.top, tick.left + half, tick.top + tick.length)
        ],
        fill=0,
    )
