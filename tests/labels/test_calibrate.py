"""The page that shows how a printer's print lies agrees with the stock to the hundredth."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from kb.labels import calibrate, shelf
from kb.labels.stock import Stock

SHIPPED = Path(__file__).parents[2] / "labels"
Reference = Callable[[str], dict[str, Any]]
POINTS = 72 / 25.4


def drawn(content: bytes) -> tuple[list[dict[str, Any]], list[dict[str, Any]], str]:
    """Return rectangles, lines and text of the page."""
    with pdfplumber.open(io.BytesIO(content)) as document:
        (page,) = document.pages
        return page.rects, page.lines, page.extract_text()


@pytest.mark.parametrize("name", shelf.names([SHIPPED]))
def test_frames_are_the_labels_of_the_stock(name: str, reference: Reference) -> None:
    most = reference("GEO-11")["expected"]["max_deviation_mm"]
    stock = shelf.find(name, [SHIPPED])
    rects, _lines, _text = drawn(calibrate.render(stock))
    for rect, (x, y) in zip(rects, stock.corners(), strict=True):
        found = [rect[side] / POINTS for side in ("x0", "top", "x1", "bottom")]
        wanted = [x, y, x + stock.label_width, y + stock.label_height]
        assert found == pytest.approx(wanted, abs=most)


@pytest.mark.parametrize("name", shelf.names([SHIPPED]))
def test_the_line_to_measure_is_as_long_as_it_says(name: str) -> None:
    stock = shelf.find(name, [SHIPPED])
    _rects, lines, text = drawn(calibrate.render(stock))
    long = calibrate.length(stock)
    lengths = [round((line["x1"] - line["x0"]) / POINTS, 3) for line in lines]
    assert max(lengths) == pytest.approx(long, abs=0.001)
    assert f"{long:g} mm: measure it" in text
    assert long == 50 or stock.page_width < 56


def test_an_offset_moves_all_of_it(a4: Stock) -> None:
    plain, _lines, _text = drawn(calibrate.render(a4))
    moved, _lines, _text = drawn(calibrate.render(a4, 0.8, -1.2))
    for before, after in zip(plain, moved, strict=True):
        step = [(after[side] - before[side]) / POINTS for side in ("x0", "top")]
        assert step == pytest.approx([0.8, -1.2], abs=0.001)


def test_the_same_page_is_the_same_bytes(a4: Stock) -> None:
    assert calibrate.render(a4) == calibrate.render(a4)
