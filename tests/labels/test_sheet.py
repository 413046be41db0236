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
from kb.labels.wishes import Wishes

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
        ([], "kb.lan", "labels: there is nothing to label"),
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
    one_label: Callable[..., Stock], a4: Stock, face: DejaVuFace
) -> None:
    small = one_label(25, 12)
    long = "a" * 63 + ".lan"
    assert symbols(sheet.lay_out([LABEL], small, "kb.lan", face))[0].dots == 3
    wishes = Wishes(others=(a4, one_label(60, 30), one_label(20, 9)))
    with pytest.raises(
        InvalidError, match=r"needs 10\.4 x 10\.4 mm \(33 modules of 3 dots"
    ) as caught:
        sheet.lay_out([LABEL], small, long, face, wishes)
    assert caught.value.message.endswith("stock: The smallest stock on file that can is roll.")
    sheet.lay_out([LABEL], one_label(60, 30), long, face)


@pytest.mark.parametrize(
    ("size", "modules", "level"),
    [((25, 12), 25, "Q"), ((24, 10.6), 25, "Q"), ((24, 9.8), 21, "L")],
)
def test_only_the_smallest_labels_take_the_smallest_symbol_and_say_so(
    size: tuple[float, float],
    modules: int,
    level: str,
    one_label: Callable[..., Stock],
    face: DejaVuFace,
) -> None:
    made = sheet.lay_out([LABEL], one_label(*size), "kb.lan", face)
    (symbol,) = symbols(made)
    assert len(symbol.modules) == modules
    assert bool(made.notes) == (level != "Q")
    assert all(f"21 modules at level {level}" in note for note in made.notes)


@pytest.mark.parametrize(("start", "pages"), [(1, [21, 1]), (21, [1, 21]), (15, [7, 15])])
def test_a_used_sheet_is_filled_up_from_where_it_is_said(
    start: int, pages: list[int], a4: Stock, face: DejaVuFace
) -> None:
    made = sheet.lay_out([LABEL] * 22, a4, "kb.lan", face, Wishes(start=start))
    assert [len(page.symbols) for page in made.pages] == pages
    whole = sheet.lay_out([LABEL] * 21, a4, "kb.lan", face)
    assert made.pages[0].symbols == whole.pages[0].symbols[start - 1 :]


def test_what_a_printer_is_off_by_moves_everything(a4: Stock, face: DejaVuFace) -> None:
    plain = sheet.lay_out(CABLE, a4, "kb.lan", face).pages[0]
    wishes = Wishes(right=1.27, down=-2.54)  # 15 and 30 dots
    moved = sheet.lay_out(CABLE, a4, "kb.lan", face, wishes).pages[0]
    for before, after in zip(plain.symbols, moved.symbols, strict=True):
        assert (after.left - before.left, after.top - before.top) == (15, -30)
    assert moved.lines[0].left - plain.lines[0].left == pytest.approx(1.27)
    assert moved.ticks[0].top - plain.ticks[0].top == pytest.approx(-2.54)


def test_a_wished_module_is_made_of_whole_dots_and_what_is_rounded_is_said(
    a4: Stock, face: DejaVuFace
) -> None:
    made = sheet.lay_out([LABEL], a4, "kb.lan", face, Wishes(module=0.35))
    assert symbols(made)[0].dots == 4
    assert made.notes == (
        (
            "A module is 4 dots, 0.339 mm, not 0.35 mm: whole dots at 300 dpi, and never fewer "
            "than 3."
        ),
    )
    assert sheet.lay_out([LABEL], a4, "kb.lan", face, Wishes(module=0.508)).notes == ()
    assert symbols(sheet.lay_out([LABEL], a4, "kb.lan", face, Wishes(module=0.1)))[0].dots == 3


@pytest.mark.parametrize(("distance", "least"), [(500, 2.0), (1000, 4.0)])
def test_text_is_at_least_as_high_as_its_distance_asks(
    distance: float, least: float, a4: Stock, face: DejaVuFace
) -> None:
    label = LabelText("K7M4XV", "a long name that fills its line and more", lines=("rack 1",))
    made = sheet.lay_out([label], a4, "kb.lan", face, Wishes(distance=distance))
    assert min(line.em * face.cap for line in made.pages[0].lines) >= least - 1e-9


def test_text_that_its_distance_makes_too_high_is_refused(a4: Stock, face: DejaVuFace) -> None:
    with pytest.raises(InvalidError, match="the text needs"):
        sheet.lay_out([LABEL], a4, "kb.lan", face, Wishes(distance=4000))


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        (Wishes(start=22), "start: there is no label 22, a4-3x7-63x38 has 1 to 21"),
        (Wishes(start=0), "start: there is no label 0"),
        (Wishes(distance=20), "distance: 20 mm is out of range"),
        (Wishes(down=-30), "offset: a printer that is off by over 20 mm"),
    ],
)
def test_wishes_that_cannot_be_are_refused(
    wishes: Wishes, said: str, a4: Stock, face: DejaVuFace
) -> None:
    with pytest.raises(InvalidError, match=said):
        sheet.lay_out([LABEL], a4, "kb.lan", face, wishes)


def test_a_boxed_code_stands_in_its_row_and_clear_of_the_symbol(
    a4: Stock, face: DejaVuFace
) -> None:
    label = LabelText("XXXXXP", "CC-01")
    made = sheet.lay_out([label, *CABLE], a4, "kb.lan", face, Wishes(boxed=True))
    boxed = [line for line in made.pages[0].lines if line.box]
    assert {line.text for line in boxed} == {"XXX XXP", "K7M 4XV", "end A", "end B"}
    for line in boxed:
        assert line.box is not None
        left = line.left - line.box.before * line.em
        right, top = left + line.box.width * line.em, line.baseline - line.box.above * line.em
        for symbol in symbols(made):
            s_left, s_top, s_right, s_bottom = box_with_quiet_zone(symbol, made.dot)
            clear = 0.51 * made.dot
            below = top + line.box.height * line.em
            assert (
                right <= s_left + clear
                or left >= s_right - clear
                or top >= s_bottom - clear
                or below <= s_top + clear
            )


def test_each_label_is_told_of_as_it_is_done(a4: Stock, face: DejaVuFace) -> None:
    done: list[int] = []
    sheet.lay_out([LABEL] * 43, a4, "kb.lan", face, told=done.append)
    assert done == [21, 21, 1]
