"""The PDF is exact to the printer's dot, embeds its type and can be scanned."""

import io
import math
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pdfplumber
import pypdfium2  # type: ignore[import-untyped]
import pytest
import zxingcpp
from pdfminer.pdftypes import resolve1

from kb.labels import pdf, qr, sheet
from kb.labels.font import DejaVuFace
from kb.labels.marks import Page, Sheet, Symbol
from kb.labels.stock import Stock
from kb.labels.text import LabelText

Reference = Callable[[str], dict[str, Any]]
Raster = np.ndarray[Any, np.dtype[np.bool_]]
CODES = ("K7M4XV", "CFHJKT", "9W3TR0")


def one_symbol(code: str, dpi: int, dots: int, size: tuple[float, float] = (50, 25)) -> Sheet:
    """Return a page with one symbol, its place not the page's corner."""
    matrix = qr.modules(qr.address("kb.lan", code))
    symbol = Symbol(11 * dots + 5, 4 * dots + 2, dots, matrix, "", "")
    return Sheet(*size, dpi, (Page((symbol,), (), ()),), ())


def wanted(made: Sheet, shape: tuple[int, ...]) -> Raster:
    """Return the dots that the sheet's symbols should blacken."""
    raster = np.zeros(shape, dtype=bool)
    for symbol in made.pages[0].symbols:
        block = np.kron(np.array(symbol.modules), np.ones((symbol.dots, symbol.dots), dtype=bool))
        raster[symbol.top :, symbol.left :][: symbol.side, : symbol.side] = block
    return raster


def rendered(made: Sheet, dpi: int) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """Return the first page as grey values."""
    document = pypdfium2.PdfDocument(pdf.render(made))
    picture = np.array(document[0].render(scale=dpi / 72, grayscale=True).to_pil())
    document.close()
    return picture


@pytest.mark.parametrize("size", [(50, 25), (62, 100)])
def test_raster_is_exact_at_every_resolution(
    size: tuple[float, float], reference: Reference
) -> None:
    for dpi, dots in reference("GEO-07")["inputs"]["dpi_dots"]:
        for code in CODES:
            made = one_symbol(code, dpi, dots, size)
            picture = rendered(made, dpi) < 128
            assert np.array_equal(picture, wanted(made, picture.shape))


def test_renderer_that_paints_every_dot_touched_paints_the_modules_alone(
    reference: Reference,
) -> None:
    # The scan conversion rule of ISO 32000-1, 10.6.5: a dot that a shape touches is painted.
    for dpi, dots in reference("GEO-07")["inputs"]["dpi_dots"]:
        made = one_symbol("K7M4XV", dpi, dots)
        shape = (math.ceil(25 * dpi / 25.4), math.ceil(50 * dpi / 25.4))
        raster = np.zeros(shape, dtype=bool)
        with pdfplumber.open(io.BytesIO(pdf.render(made))) as document:
            for rect in document.pages[0].rects:
                edges = [rect[side] * dpi / 72 for side in ("x0", "x1", "top", "bottom")]
                left, right, top, bottom = edges
                rows = slice(math.floor(top), math.ceil(bottom))
                raster[rows, math.floor(left) : math.ceil(right)] = True
        assert np.array_equal(raster, wanted(made, shape))


def test_every_label_of_a_mixed_sheet_is_read_at_its_own_resolution(
    mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace
) -> None:
    made = sheet.lay_out(mixed, a4, "192.168.1.20:8080", face)
    found = Counter(code.text for code in zxingcpp.read_barcodes(rendered(made, 300)))
    assert found == Counter(symbol.address for symbol in made.pages[0].symbols)
    assert sum(found.values()) == 5 + 2 * 16


@pytest.mark.slow
def test_every_label_of_a_sheet_is_found_once_at_600_dpi(
    mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace, reference: Reference
) -> None:
    devices = [LabelText(label.code, label.name) for label in mixed]
    made = sheet.lay_out(devices, a4, "kb.lan", face)
    found = [code.text for code in zxingcpp.read_barcodes(rendered(made, 600))]
    assert len(found) == reference("DEC-13")["expected"]["decoded"]
    assert Counter(found) == Counter(symbol.address for symbol in made.pages[0].symbols)


@pytest.mark.parametrize(
    ("dpi", "width", "height"), [(203, 34, 16), (203, 60, 30), (300, 25, 12), (600, 25, 12)]
)
def test_single_label_is_read_at_the_printers_resolution(
    dpi: int, width: float, height: float, one_label: Callable[..., Stock], face: DejaVuFace
) -> None:
    stock = one_label(width, height, dpi)
    made = sheet.lay_out([LabelText("K7M4XV", "HD-01", "A")], stock, "kb.lan", face)
    (found,) = zxingcpp.read_barcodes(rendered(made, dpi))
    assert found.text == "http://KB.LAN/K7M4XV"


def test_page_box_is_exact(a4: Stock, face: DejaVuFace, reference: Reference) -> None:
    row = reference("GEO-10")
    assert row["inputs"]["page_mm"] == [a4.page_width, a4.page_height]
    made = sheet.lay_out([LabelText("K7M4XV", "CC-01")] * 22, a4, "kb.lan", face)
    with pdfplumber.open(io.BytesIO(pdf.render(made))) as document:
        sizes = [(float(page.width), float(page.height)) for page in document.pages]
    assert sizes == [pytest.approx(row["expected"], abs=0.01)] * 2


def test_all_type_is_embedded_and_the_text_can_be_searched(
    a4: Stock, face: DejaVuFace, reference: Reference
) -> None:
    assert reference("GEO-17")["expected"]["emb"] == "yes for all"
    label = LabelText("K7M4XV", "Łódź 1", lines=("rack 1",))
    made = sheet.lay_out([label], a4, "kb.lan", face)
    with pdfplumber.open(io.BytesIO(pdf.render(made))) as document:
        page = document.pages[0]
        fonts = [resolve1(font) for font in resolve1(page.page_obj.resources["Font"]).values()]
        words = page.extract_text()
    assert len(fonts) == 2
    assert all("FontFile2" in resolve1(font["FontDescriptor"]) for font in fonts)
    assert words.splitlines() == ["Łódź 1", "K7M 4XV", "rack 1"]


def test_same_labels_give_the_same_bytes(
    mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace
) -> None:
    first, second = (pdf.render(sheet.lay_out(mixed, a4, "kb.lan", face)) for _ in range(2))
    assert first == second
    assert first != pdf.render(sheet.lay_out(mixed[1:], a4, "kb.lan", face))


def test_printers_are_asked_not_to_scale(a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out([LabelText("K7M4XV", "CC-01")], a4, "kb.lan", face)
    with pdfplumber.open(io.BytesIO(pdf.render(made))) as document:
        wishes = resolve1(document.doc.catalog["ViewerPreferences"])
    assert wishes["PrintScaling"].name == "None"
