"""Labels are read from the finished PDF by two decoders, spoilt as a camera or hard use does it.

The shares are those of the reference; what is spoilt is each symbol of the PDF, rasterised at the
printer's resolution and seen by a camera at six pixels a module at most, as the reference was.
"""

import io
from collections.abc import Callable, Iterator, Sequence
from typing import Any, get_args

import numpy as np
import pypdfium2  # type: ignore[import-untyped]
import pytest
from degraded import (
    Grey,
    blurred,
    faint,
    noisy,
    patched,
    read_by_both,
    read_by_zbar,
    read_by_zxing,
    rolled,
    turned,
)
from PIL import Image

from kb.gear import codes
from kb.labels import pdf, qr, sheet
from kb.labels.font import DejaVuFace
from kb.labels.marks import Symbol
from kb.labels.stock import Stock
from kb.labels.text import LabelText

Reference = Callable[[str], dict[str, Any]]
Spoilt = Callable[[Grey, int, int], Grey]  # the picture, pixels a module, a number of its own
MOST_PIXELS = 6
HOSTS = ("kb.lan", "192.168.1.20:8080")


@pytest.fixture(scope="session", params=[203, 300, 600])
def symbols(
    request: pytest.FixtureRequest, mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace
) -> list[tuple[Symbol, Grey]]:
    """Return every symbol of two real PDFs with its quiet zone, as a printer's dots."""
    stock = a4.at(request.param)
    return [found for host in HOSTS for found in printed(mixed, stock, host, face)]


def printed(
    labels: Sequence[LabelText], stock: Stock, host: str, face: DejaVuFace
) -> Iterator[tuple[Symbol, Grey]]:
    made = sheet.lay_out(labels, stock, host, face)
    document = pypdfium2.PdfDocument(io.BytesIO(pdf.render(made)))
    for page, drawn in zip(made.pages, document, strict=True):
        picture = np.array(drawn.render(scale=made.dpi / 72, grayscale=True).to_pil())
        for symbol in page.symbols:
            quiet = qr.QUIET * symbol.dots
            left, top, side = symbol.left - quiet, symbol.top - quiet, symbol.side + 2 * quiet
            yield symbol, picture[top : top + side, left : left + side]
    document.close()


def seen(symbol: Symbol, picture: Grey) -> tuple[Grey, int]:
    """Return the symbol as a camera sees it, and the pixels it has for a module."""
    pixels = min(symbol.dots, MOST_PIXELS)
    side = picture.shape[0] // symbol.dots * pixels
    return np.array(Image.fromarray(picture).resize((side, side), Image.Resampling.BOX)), pixels


def share_read(symbols: list[tuple[Symbol, Grey]], spoilt: Spoilt) -> float:
    """Return the share of symbols that both decoders still read."""
    read = [
        read_by_both(spoilt(*seen(symbol, picture), number), symbol.address)
        for number, (symbol, picture) in enumerate(symbols)
    ]
    return sum(read) / len(read)


@pytest.mark.slow
def test_every_symbol_of_the_pdf_is_read(symbols: list[tuple[Symbol, Grey]]) -> None:
    assert all(symbol.dots >= 3 for symbol, _picture in symbols)
    assert all(read_by_both(picture, symbol.address) for symbol, picture in symbols)


SPOILT: dict[str, Callable[[dict[str, Any]], Spoilt]] = {
    "DEC-02": lambda row: lambda picture, pixels, _: blurred(picture, row["sigma"] * pixels),
    "DEC-04": lambda row: (
        lambda picture, pixels, _: patched(picture, qr.QUIET * pixels, row["share"])
    ),
    "DEC-07": lambda row: lambda picture, _pixels, number: faint(picture, row["contrast"], number),
    "DEC-08": lambda _row: lambda picture, _pixels, number: turned(picture, 7 + 11 * number),
    "DEC-10": lambda row: lambda picture, _pixels, number: noisy(picture, row["sigma"], number),
    "DEC-11": lambda row: lambda picture, _pixels, _: rolled(picture, row["d_over_w"]),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", SPOILT)
def test_spoilt_symbols_of_the_pdf_are_still_read(
    name: str, symbols: list[tuple[Symbol, Grey]], reference: Reference
) -> None:
    row = reference(name)
    spoil = SPOILT[name](row["inputs"])
    assert share_read(symbols, spoil) >= float(row["tolerance"].removeprefix(">= "))


@pytest.mark.slow
def test_no_symbol_survives_a_patch_over_a_third_of_it(
    symbols: list[tuple[Symbol, Grey]], reference: Reference
) -> None:
    row = reference("DEC-06")
    for symbol, picture in symbols:
        spoilt = patched(picture, qr.QUIET * symbol.dots, row["inputs"]["share"])
        assert read_by_zxing(spoilt) | read_by_zbar(spoilt) == set()


@pytest.mark.parametrize("dots", [2, 3, 4, 6])
@pytest.mark.parametrize("level", get_args(qr.Level))
def test_decoders_read_plain_rasters_of_every_level(
    level: qr.Level, dots: int, reference: Reference
) -> None:
    assert level in reference("DEC-01")["inputs"]["levels"]
    for code in ("K7M4XV", "CFHJKT", codes.read("000001")):
        address = qr.address("192.168.1.20:8080", code)
        light = np.pad(~np.array(qr.modules(address, level)), qr.QUIET, constant_values=True)
        raster = np.kron(light, np.ones((dots, dots))).astype(np.uint8) * 255
        assert read_by_both(raster, address)
