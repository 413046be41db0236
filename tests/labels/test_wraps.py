"""Wraps carry a symbol only round cables thick enough, and say why where they don't."""

import itertools
import math
from pathlib import Path

import pytest

from kb.errors import InvalidError
from kb.labels import cable, sheet, shelf
from kb.labels.font import DejaVuFace
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.labels.text import LabelText

SHIPPED = Path(__file__).parents[2] / "labels"
WRAPS = ("roll-wrap-25x38", "roll-wrap-38x76", "a4-wrap-7x6-25x44")


def wrap(name: str) -> Stock:
    return shelf.find(name, [SHIPPED])


def ends(diameter: float | None, name: str = "HD-04") -> list[LabelText]:
    return [
        LabelText("K7M4XV", name, "A", (), diameter),
        LabelText("K7M4XV", name, "B", (), diameter),
    ]


def laid(stock: str, diameter: float | None, face: DejaVuFace, name: str = "HD-04") -> Sheet:
    return sheet.lay_out(ends(diameter, name), wrap(stock), "kb.lan", face)


def test_thin_cables_get_text_alone_and_the_reason(face: DejaVuFace) -> None:
    made = laid("roll-wrap-25x38", 6.1, face)
    assert [page.symbols for page in made.pages] == [(), ()]
    assert made.notes == (
        (
            "HD-04: text alone. The smallest symbol is 5.3 mm wide, and round a cable of 6.1 mm "
            "one of over 3.0 mm isn't read. Take flags where it should be scanned."
        ),
    )


def test_thick_cables_get_a_symbol_of_at_most_half_their_diameter(face: DejaVuFace) -> None:
    made = laid("roll-wrap-38x76", 14, face)
    for page in made.pages:
        (symbol,) = page.symbols
        assert cable.symbol_may_wrap(14, symbol.side * made.dot)
    assert made.notes == ()


@pytest.mark.parametrize("diameter", [2.6, 4.5, 6.2, 7.1])
@pytest.mark.parametrize("name", ["HD-04", "", "a lead with quite a long name to it"])
def test_one_copy_of_the_text_faces_any_side(name: str, diameter: float, face: DejaVuFace) -> None:
    made = laid("roll-wrap-25x38", diameter, face, name)
    band = wrap("roll-wrap-25x38").print_band
    assert band is not None
    for page, end in zip(made.pages, "AB", strict=True):
        codes = [line for line in page.lines if line.text == f"K7M 4XV {end}"]
        steps = {
            round(below.baseline - above.baseline, 6) for above, below in itertools.pairwise(codes)
        }
        assert len(steps) == 1
        # A copy and the next lie within a quarter of the way round, or as near as type can be.
        assert steps.pop() <= max(math.pi * diameter / 4, 1.2 * 1.65 + 1e-6) + 1e-6
        for line in page.lines:
            assert line.em * face.cap >= 1.2 - 1e-9
            assert line.left + face.width(line.text, bold=True) * line.em <= 25.4 - 1
            assert line.baseline - face.cap * line.em > 0
            assert line.baseline < band


def test_names_stand_on_cables_thick_enough_for_two_lines(face: DejaVuFace) -> None:
    texts = [line.text for line in laid("roll-wrap-25x38", 6.2, face).pages[0].lines]
    assert texts[:2] == ["HD-04", "K7M 4XV A"]
    texts = [line.text for line in laid("roll-wrap-25x38", 2.6, face).pages[0].lines]
    assert set(texts) == {"K7M 4XV A"}


@pytest.mark.parametrize("stock", WRAPS)
def test_every_shipped_wrap_prints_round_what_its_file_says(stock: str, face: DejaVuFace) -> None:
    thickest = wrap(stock).thickest_cable
    assert thickest is not None
    assert laid(stock, thickest - 0.01, face).pages
    with pytest.raises(InvalidError, match="needs a wrap of"):
        laid(stock, thickest + 0.1, face)


@pytest.mark.parametrize(
    ("labels", "said"),
    [
        (ends(None), "diameter: how thick is HD-04\\? Measure it"),
        (ends(None), "RG-59 6.2; microphone lead 6 to 6.5"),
        ([LabelText("K7M4XV", "CC-01")], "goes round cables, and CC-01 are none"),
        (ends(9), "HD-04 with 9 mm needs a wrap of 44.0 mm .* has 38.1 mm"),
    ],
)
def test_what_cannot_be_wrapped_is_told(
    labels: list[LabelText], said: str, face: DejaVuFace
) -> None:
    with pytest.raises(InvalidError, match=said):
        sheet.lay_out(labels, wrap("roll-wrap-25x38"), "kb.lan", face)


def test_flags_that_will_not_meet_are_told_of(a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out(ends(10.3), a4, "kb.lan", face)
    assert made.notes == (
        (
            "HD-04: 10.3 mm thick, and a flag of a4-3x7-63x38 goes round 8.1 mm at most, so its "
            "faces won't meet. Take a longer one."
        ),
    )
    assert sheet.lay_out(ends(8), a4, "kb.lan", face).notes == ()
