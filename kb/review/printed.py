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
from reportlab.platypus import Image, LongTable, Paragraph, SimpleDocTemplate, Spacer, TableStyle

from kb.review import charts
from kb.review.paper import Part, Review, Table

_FACE, _BOLD = "DejaVuSans", "DejaVuSans-Bold"  # with Matplotlib; may be embedded freely
_EDGE = 18 * mm
_WIDE = A4[0] - 2 * _EDGE - 12  # the frame keeps six points at each side
_TEXT = ParagraphStyle("text", fontName=_FACE, fontSize=9, leading=12.5, spaceAfter=3)
_CELL = ParagraphStyle("cell", parent=_TEXT, fontSize=7.5, leading=9.5, spaceAfter=0)
_NUMBER = ParagraphStyle("number", parent=_CELL, alignment=2)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=7.5, leading=10, textColor="#333333")
_HEAD = ParagraphStyle(
    "head", parent=_TEXT, fontName=_BOLD, fontSize=12, leading=15, spaceBefore=10, keepWithNext=1
)
_TITLE = ParagraphStyle("title", parent=_HEAD, fontSize=17, leading=21, spaceBefore=0)
_CHART_SHAPE = 0.92
_PADDING = 6.0  # at both sides of a cell, and what rounding takes


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

    def foot(canvas: Any, _: object) -> None:  # noqa: ANN401 - reportlab's own
        canvas.setFont(_FACE, 7)
        canvas.drawString(_EDGE, 10 * mm, f"{studio}. {review.basis}"[:150])
        canvas.drawRightString(A4[0] - _EDGE, 10 * mm, str(canvas.getPageNumber()))

    document.build(list(_story(review)), onFirstPage=foot, onLaterPages=foot)
    return file.getvalue()


def _story(review: Review) -> Iterator[Any]:
    yield Paragraph(escape(review.title), _TITLE)
    yield Paragraph(escape(review.basis), _SMALL)
    for part in review.parts:
        yield from _part(part)


def _part(part: Part) -> Iterator[Any]:
    yield Paragraph(escape(part.title), _HEAD)
    for sentence in part.sentences:
        yield Paragraph(escape(sentence), _TEXT)
    if part.chart:
        picture = Image(io.BytesIO(charts.drawn(part.chart, charts.PAPER, "png")))
        wide = _WIDE * _CHART_SHAPE
        picture.drawHeight *= wide / picture.drawWidth
        picture.drawWidth = wide
        yield picture
    if part.table and part.table.rows:
        yield _table(part.table)
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
    widths = _widths([_wishes(table, at) for at in range(len(table.columns))])
    lines = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.3, colors.HexColor("#999999")),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ]
    return LongTable([heads, *rows], widths, repeatRows=1, style=TableStyle(lines))


def _widths(wishes: list[tuple[float, float]]) -> list[float]:
    """Return columns that fill the page, none narrower than what can't be folded."""
    least = sum(low for low, _ in wishes)
    spare, wanted = _WIDE - least, sum(want for _, want in wishes) - least
    if spare >= wanted:
        more = (spare - wanted) / len(wishes)
        return [want + more for _, want in wishes]
    if spare <= 0:
        return [_WIDE * low / least for low, _ in wishes]
    return [low + spare * (want - low) / wanted for low, want in wishes]


def _wishes(table: Table, at: int) -> tuple[float, float]:
    """Return what a column needs and what it would like: numbers and days aren't folded."""
    column, cells = table.columns[at], [row[at] for row in table.told()]
    whole = column.form != "text"
    parts = cells if whole else [word for cell in cells for word in cell.split()]
    heads = [_long(word, _BOLD) for word in column.name.split()]
    least = max([*heads, *(_long(one) for one in parts)])
    wanted = max([_long(column.name, _BOLD), *(_long(one) for one in cells)])
    return least + _PADDING, wanted + _PADDING


def _long(text: str, face: str = _FACE) -> float:
    return float(pdfmetrics.stringWidth(text, face, _CELL.fontSize))


def _faces() -> None:
    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    for name in (_FACE, _BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
