"""Labels fall where the stock says, and their symbols on whole dots."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import pytest

from kb.errors import InvalidError
from kb.labels import qr, sheet
from kb.labels.font import DejaVuFace
from kb.labels.marks import Sheet, Symbol
from kb.labels.stock import Stock
from kb.labels.text import LabelText

Reference = Callable[[str], dict[str, Any]]
LABEL = LabelText("K7M4XV", "CC-01")
CABLE = (LabelText("K7M4XV", "HD-01", "A"), LabelText("K7M4XV", "HD-01", "B"))


def box_with_quiet_zone(symbol: Symbol, dot: float) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom in millimetres."""
    quiet = qr.QUIET * symbol.dots
    return (
        (symbol.left - quiet) * dot,
        (symbol.top - quiet) * dot,
        (symbol.left + symbol.side + quiet) * dot,
        (symbol.top + symbol.side + quiet) * dot,
    )


def symbols(made: Sheet) -> list[Symbol]:
    return [symbol for page in made.pages for symbol in page.symbols]


def test_quiet_zones_stay_inside_the_label_and_clear_of_text(
    mixed: Sequence[LabelText], a4: Stock, face: DejaVuFace, reference: Reference
) -> None:
    assert reference("QR-19")["expected"]["modules"] == qr.QUIET
    made = sheet.lay_out(mixed, a4, "192.168.1.20:8080", face)
    (page,) = made.pages
    cells = list(a4.corners())
    for symbol in page.symbols:
        left, top, right, bottom = box_with_quiet_zone(symbol, made.dot)
        assert any(
            x <= left
            and y <= top
            and right <= x + a4.label_width
            and bottom <= y + a4.label_height
            for x, y in cells
        )
        for line in page.lines:
            ends = line.left + face.width(line.text, bold=line.bold) * line.em
            above, below = line.baseline - 0.76 * line.em, line.baseline + 0.24 * line.em
            # The symbol moved by up to half a dot.
            clear = 0.51 * made.dot
            assert (
                ends <= left + clear
                or line.left >= right - clear
                or below <= top + clear
                or above >= bottom - clear
            )


def test_labels_lie_a_pitch_apart(a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out([LABEL] * 21, a4, "kb.lan", face)
    first, *others = symbols(made)
    for symbol, (x, y) in zip(others, list(a4.corners())[1:], strict=True):
        # Each of the two symbols moved by up to half a dot.
        moved = ((symbol.left - first.left) * made.dot, (symbol.top - first.top) * made.dot)
        assert moved == pytest.approx((x - a4.margin_left, y - a4.margin_top), abs=made.dot)


@pytest.mark.parametrize(("count", "pages"), [(1, 1), (21, 1), (22, 2), (43, 3)])
def test_sheets_are_filled_one_after_the_other(
    count: int, pages: int, a4: Stock, face: DejaVuFace
) -> None:
    made = sheet.lay_out([LABEL] * count, a4, "kb.lan", face)
    assert [len(page.symbols) for page in made.pages[:-1]] == [21] * (pages - 1)
    assert len(made.pages[-1].symbols) == count - 21 * (pages - 1)


def test_a_cables_flag_has_the_same_face_twice_and_fold_marks(a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out(CABLE, a4, "kb.lan", face)
    (page,) = made.pages
    assert [symbol.address for symbol in page.symbols] == ["http://KB.LAN/K7M4XV"] * 4
    assert [line.text for line in page.lines] == [
        *(["HD-01", "K7M 4XV", "end A"] * 2),
        *(["HD-01", "K7M 4XV", "end B"] * 2),
    ]
    assert a4.flag_face is not None
    folds = {round(tick.left - a4.margin_left, 3) for tick in page.ticks[:4]}
    assert folds == {a4.flag_face, a4.label_width - a4.flag_face}
    strip = (a4.margin_left + a4.flag_face, a4.margin_left + a4.label_width - a4.flag_face)
    for symbol in page.symbols[:2]:
        left, _, right, _ = box_with_quiet_zone(symbol, made.dot)
        assert right <= strip[0] or left >= strip[1]


def test_stock_without_flags_still_names_the_end(a4: Stock, face: DejaVuFace) -> None:
    made = sheet.lay_out(CABLE, replace(a4, flag_face=None), "kb.lan", face)
    (page,) = made.pages
    assert len(page.symbols) == 2
    assert [line.text for line in page.lines if line.text.startswith("end")] == ["end A", "end B"]
    assert page.ticks == ()


def test_only_what_is_replaced_is_noted_and_once(a4: Stock, face: DejaVuFace) -> None:
    odd = LabelText("K7M4XV", "\u6444\u5f71\u673a 3", lines=("rack 1",))
    made = sheet.lay_out([LABEL, odd, odd], a4, "kb.lan", face)
    assert made.notes == (
        "'\u6444\u5f71\u673a 3' is printed as '? 3', the nearest the labels' typeface has.",
    )


def test_outer_labels_keep_out_of_the_printers_dead_zone(
    one_label: Callable[..., Stock], face: DejaVuFace
) -> None:
    made = sheet.lay_out([LABEL], replace(one_label(60, 30), dead_zone=4.0), "kb.lan", face)
    (symbol,) = symbols(made)
    left, top, _, bottom = box_with_quiet_zone(symbol, made.dot)
    assert left >= 4 - made.dot
    assert top >= 4 - made.dot
    assert bottom <= 30 - 4 + made.dot


@pytest.mark.parametrize(
    ("labels", "host", "said"),
    [
        ([], "kb.lan", "labels: there is no item to label"),
        ([LABEL], "kb lan", "host: 'kb lan' can't stand on a label"),
        ([LabelText("K7M4XW", "CC-01")], "kb.lan", "code: 'K7M 4XW' is no code"),
    ],
)
def test_bad_input_is_refused(
    labels: list[LabelText], host: str, said: str, a4: Stock, face: DejaVuFace
) -> None:
    with pytest.raises(InvalidError, match=said):
        sheet.lay_out(labels, a4, host, face)


def test_host_too_long_for_the_label_is_refused_with_what_it_needs(
    one_label: Callable[..., Stock], face: DejaVuFace
) -> None:
    small = one_label(25, 12)
    assert symbols(sheet.lay_out([LABEL], small, "kb.lan", face))[0].dots == 3
    with pytest.raises(InvalidError, match=r"needs 11\.4 x 11\.4 mm \(37 modules of 3 dots"):
        sheet.lay_out([LABEL], small, "a" * 63 + ".lan", face)
