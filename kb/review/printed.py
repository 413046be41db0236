"""A review on paper: a PDF that a lead hands to whoever pays, the same for the same records."""

import io
from collections.abc import Iterator
from html import escape
from pathlib import Path
from typing import Any

import matplotlib as mpl
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    KeepTogether,
    LongTable,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    TableStyle,
)

from kb.review import charts
from kb.review.paper import Chart, Part, Review, Table

_FACE, _BOLD = "DejaVuSans", "DejaVuSans-Bold"  # with Matplotlib; may be embedded freely
_EDGE = 18 * mm
_WIDE = A4[0] - 2 * _EDGE - 12  # the frame keeps six points at each side
_INK, _SOFT, _RULE, _SHADE = "#1b1713", "#4a443d", "#b9b0a4", "#f1ece4"
_TEXT = ParagraphStyle(
    "text", fontName=_FACE, fontSize=9, leading=12.5, spaceAfter=3, textColor=_INK
)
_CELL = ParagraphStyle("cell", parent=_TEXT, fontSize=7.5, leading=9.5, spaceAfter=0)
_NUMBER = ParagraphStyle("number", parent=_CELL, alignment=2)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=7.5, leading=10, textColor=_SOFT)
_HEAD = ParagraphStyle(
    "head", parent=_TEXT, fontName=_BOLD, fontSize=12, leading=15, spaceBefore=12, keepWithNext=1
)
_TITLE = ParagraphStyle("title", parent=_HEAD, fontSize=18, leading=23, spaceBefore=0)
_PAD = 9.0
_LEAST, _MOST = 24.0, 230.0
_FEW = 8


def pdf(review: Review, studio: str) -> bytes:
    """Return the review as a PDF; the same bytes for the same records, window and day.

    Args:
        review: What it says.
        studio: Whose it is, for the foot of each page.
    """
    _faces()
    file = io.BytesIO()
    document = SimpleDocTemplate(
        file,
        pagesize=A4,
        leftMargin=_EDGE,
        rightMargin=_EDGE,
        topMargin=_EDGE,
        bottomMargin=_EDGE,
        title=review.title,
        author=studio,
        invariant=1,
        lang="en",
    )

    def numbered(*args: Any, **kept: Any) -> Canvas:  # noqa: ANN401 - reportlab's own
        return _Numbered(f"{studio}: {review.title}", *args, **kept)

    document.build(list(_story(review)), canvasmaker=numbered)
    return file.getvalue()


class _Numbered(Canvas):  # type: ignore[misc] # has no types
    """A canvas that knows how many pages there are when it writes the foot of each."""

    def __init__(self, foot: str, *args: Any, **kept: Any) -> None:  # noqa: ANN401 - as it is
        super().__init__(*args, **kept)
        self._foot, self._pages = foot, list[dict[str, Any]]()

    def showPage(self) -> None:  # noqa: N802 - reportlab's own name
        """Keep the page until all are known."""
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its foot."""
        for number, page in enumerate(self._pages, start=1):
            self.__dict__.update(page)
            self.setFont(_FACE, 7)
            self.setFillColor(_SOFT)
            self.drawString(_EDGE + 6, 10 * mm, self._foot[:110])
            told = f"Page {number} of {len(self._pages)}"
            self.drawRightString(A4[0] - _EDGE - 6, 10 * mm, told)
            super().showPage()
        super().save()


class _Picture(Flowable):  # type: ignore[misc] # has no types
    """A chart in lines and letters, as wide as the text."""

    def __init__(self, chart: Chart) -> None:
        super().__init__()
        self._chart = chart
        wide, high = charts.size(chart)
        self._scale = _WIDE / wide
        self.width, self.height = _WIDE, high * self._scale

    def draw(self) -> None:
        """Draw it."""
        self.canv.scale(self._scale, self._scale)
        charts.onto(self._chart, self.canv, _FACE)


def _story(review: Review) -> Iterator[Any]:
    yield Paragraph(escape(review.title), _TITLE)
    yield Paragraph(escape(review.basis), _SMALL)
    for part in review.parts:
        yield from _part(part)


def _part(part: Part) -> Iterator[Any]:
    yield CondPageBreak(30 * mm)
    yield Paragraph(escape(part.title), _HEAD)
    for sentence in part.sentences:
        yield Paragraph(escape(sentence), _TEXT)
    if part.chart:
        yield _Picture(part.chart)
    if part.table and part.table.rows:
        table = _table(part.table)
        # A short table isn't torn apart.
        yield KeepTogether([table]) if len(part.table.rows) <= _FEW else table
        yield Spacer(1, 2 * mm)
    if part.line:
        yield Paragraph(escape(part.line), _SMALL)


def _table(table: Table) -> LongTable:
    styles = [_NUMBER if column.is_number else _CELL for column in table.columns]
    heads = [
        Paragraph(f'<font name="{_BOLD}">{escape(column.name)}</font>', style)
        for column, style in zip(table.columns, styles, strict=True)
    ]
    rows = [
        [Paragraph(escape(cell), style) for cell, style in zip(row, styles, strict=True)]
        for row in table.told()
    ]
    lines = [
        ("BACKGROUND", (0, 0), (-1, 0), colors.HexColor(_SHADE)),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.HexColor(_INK)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, colors.HexColor(_RULE)),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    made = LongTable([heads, *rows], _widths(table), repeatRows=1, style=TableStyle(lines))
    made.hAlign = "LEFT"
    return made


def _widths(table: Table) -> list[float]:
    """Return the columns' widths: what they hold on one line, or folded where it's too wide."""
    told = table.told()
    full, least = [], []
    for at, column in enumerate(table.columns):
        cells = [row[at] for row in told]
        words = [*column.name.split(), *(word for cell in cells for word in cell.split())]
        least.append(max([_LEAST, *(_long(word, _BOLD) for word in words)]))
        full.append(
            max(
                [
                    least[-1],
                    _long(column.name, _BOLD),
                    *(min(_MOST, _long(cell, _FACE)) for cell in cells),
                ]
            )
        )
    room = _WIDE - sum(least)
    wanted = sum(full) - sum(least)
    share = min(1.0, max(0.0, room / wanted)) if wanted else 0.0
    widths = [low + (high - low) * share for low, high in zip(least, full, strict=True)]
    return [one * min(1.0, _WIDE / sum(widths)) for one in widths]


def _long(text: str, face: str) -> float:
    return float(pdfmetrics.stringWidth(text, face, _CELL.fontSize)) + _PAD


def _faces() -> None:
    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    for name in (_FACE, _BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
