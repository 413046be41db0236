"""The picture has one pixel for each dot of the printer."""

import io
from collections.abc import Callable, Sequence

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from kb.errors import InvalidError
from kb.labels import png, sheet
from kb.labels.font import DejaVuFace
from kb.labels.stock import Stock
from kb.labels.text import LabelText

LABEL = LabelText("K7M4XV", "HD-01", "A")


def test_a_dot_is_a_pixel(one_label: Callable[..., Stock], face: DejaVuFace) -> None:
    made = sheet.lay_out([LABEL], one_label(60, 30, 203), "kb.lan", face)
    with Image.open(io.BytesIO(png.render(made.pages[0], made))) as picture:
        assert picture.mode == "1"
        assert picture.size == (round(60 / 25.4 * 203), round(30 / 25.4 * 203))
        assert picture.info["dpi"] == pytest.approx((203, 203), abs=0.02)
        dark = ~np.array(picture)
    (symbol,) = made.pages[0].symbols
    block = np.kron(np.array(symbol.modules), np.ones((symbol.dots, symbol.dots), dtype=bool))
    area = dark[symbol.top :, symbol.left :][: symbol.side, : symbol.side]
    assert np.array_equal(area, block)
    assert dark[:, symbol.left + symbol.side :].any()  # the text


def test_mixed_sheet_is_read(mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out(mixed, a4, "kb.lan", face)
    with Image.open(io.BytesIO(png.render(made.pages[0], made))) as picture:
        found = zxingcpp.read_barcodes(picture.convert("L"))
    assert sorted(code.text for code in found) == sorted(
        symbol.address for symbol in made.pages[0].symbols
    )


def test_picture_of_too_many_dots_is_refused(a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out([LABEL], a4.at(1200), "kb.lan", face)
    with pytest.raises(InvalidError, match="1200 make a picture of 9921 x 14031 dots"):
        png.render(made.pages[0], made)
