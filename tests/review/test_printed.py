"""A review on paper: everything that it says, and the same bytes for the same records."""

import io
from dataclasses import replace
from datetime import UTC, date, datetime

import pdfplumber
import pytest

from kb.review import charts, paper, printed
from kb.review.facts import Frame
from kb.review.methods.exposure import Days
from kb.review.paper import Bar, Chart, Column, Interval, Part, Points, Review, Steps, Table

FRAME = Frame(
    window=Days(date(2026, 1, 1), date(2026, 3, 1)),
    began=date(2026, 1, 1),
    now=datetime(2026, 2, 28, 12, tzinfo=UTC),
    today=date(2026, 2, 28),
    confidence=0.9,
    currency="GBP",
    minute_cost=1200,
    hold_days=7,
    repeat_days=90,
    version="abcdef12-7",
)
TABLE = Table((Column("Unit"), Column("Rate", "rate")), (("Ünit <1>", 1.234), ("b", None)))
CHARTS = {
    "intervals": Chart("rate", intervals=(Interval("a & b", 1, 0.5, 3), Interval("c", 0, 0, 2))),
    "bars": Chart("minutes", bars=(Bar("a & b", 30, "75 %"), Bar("c", 10, "100 %"))),
    "steps": Chart("failures", steps=(Steps("all", (1, 2), (1, 2), (0.5, 1), (2, 3), 0.0),)),
    "points": Chart(
        "MB/s",
        points=(
            Points("one", (date(2026, 1, 1), date(2026, 2, 1)), (5, 4)),
            Points(
                "two",
                (date(2026, 1, 1), date(2026, 2, 1)),
                (5, 4),
                (date(2026, 1, 1), date(2026, 3, 1)),
                (5, 3),
                (4, 2),
                (6, 4),
            ),
        ),
        limit=3.0,
    ),
}
REVIEW = Review(
    "Thing & <b>other</b>",
    FRAME,
    (
        Part("a", "First", ("A sentence.",), TABLE, CHARTS["intervals"], "Defined so."),
        Part("b", "Second", ("Another.",)),
    ),
)


def text(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return "\n".join(page.extract_text() for page in document.pages)


@pytest.mark.slow
def test_paper_holds_all_that_the_review_says() -> None:
    found = text(printed.pdf(REVIEW, "studio"))
    for wanted in (
        "Thing & <b>other</b>", "First", "A sentence.", "Ünit <1>", "1.23", "Defined so.",
        "Another.", "2026-01-01 up to, not including, 2026-03-01", "abcdef12-7", "studio",
    ):  # fmt: skip
        assert wanted in found


@pytest.mark.slow
def test_the_same_review_gives_the_same_bytes() -> None:
    assert printed.pdf(REVIEW, "studio") == printed.pdf(REVIEW, "studio")
    later = replace(REVIEW, frame=replace(FRAME, version="abcdef12-8"))
    assert printed.pdf(later, "studio") != printed.pdf(REVIEW, "studio")


@pytest.mark.slow
@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize("theme", [charts.DARK, charts.LIGHT, charts.PAPER])
def test_a_chart_is_a_picture_in_the_colours_of_its_page(name: str, theme: charts.Theme) -> None:
    svg = charts.drawn(CHARTS[name], theme)
    assert svg.startswith(b"<?xml")
    assert theme.ground.encode() in svg
    assert CHARTS[name].axis.encode() in svg
    assert svg == charts.drawn(CHARTS[name], theme)


@pytest.mark.slow
@pytest.mark.parametrize("name", CHARTS)
def test_a_chart_on_paper_is_lines_and_letters_and_no_raster(name: str) -> None:
    review = replace(REVIEW, parts=(Part("c", "Chart", chart=CHARTS[name]),))
    with pdfplumber.open(io.BytesIO(printed.pdf(review, "studio"))) as document:
        (page,) = document.pages
        assert CHARTS[name].axis in page.extract_text() or name != "intervals"
        assert page.images == []
        assert len(page.lines) + len(page.curves) + len(page.rects) >= 4
        assert "Page 1 of 1" in page.extract_text()


@pytest.mark.parametrize(
    ("value", "form", "told"),
    [
        (None, "rate", ""),
        (1.005, "rate", "1.00"),
        (1234, "count", "1,234"),
        (0.4567, "share", "46 %"),
        (123456, "money", "1,234.56"),
        (0.0004, "p", "< 0.001"),
        (float("inf"), "ratio", "no limit"),
        (date(2026, 1, 2), "day", "2026-01-02"),
        ("text", "text", "text"),
        (12345.6, "text", "1.235e+04"),
    ],
)
def test_a_value_is_told_in_its_form(value: paper.Value, form: str, told: str) -> None:
    assert paper.shown(value, form) == told


def test_a_sheet_keeps_all_digits_and_no_limit_is_an_empty_cell() -> None:
    table = Table((Column("a", "rate"), Column("b", "ratio")), ((1.23456, float("inf")),))
    assert table.as_texts() == (["a", "b"], [{"a": "1.23456", "b": ""}])
    assert table.named() == [{"a": 1.23456, "b": None}]
