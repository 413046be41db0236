"""A label's room is divided so that symbol and text can be read."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import InvalidError
from kb.labels import form, qr
from kb.labels.form import Need, Room

Reference = Callable[[str], dict[str, Any]]
NEED = Need(modules=25, widest=5.0, lines=2, cap=0.729)
millimetres = st.floats(1, 150, allow_nan=False)


def test_capital_heights_follow_the_reading_distance(reference: Reference) -> None:
    row = reference("GEO-15")
    for number, distance in enumerate(row["inputs"]["D_mm"]):
        expected = (row["expected"]["min_mm"][number], row["expected"]["preferred_mm"][number])
        assert form.cap_heights(distance) == pytest.approx(expected, abs=0.01)


def test_wished_module_becomes_whole_dots(reference: Reference) -> None:
    row = reference("GEO-06")
    for (wish, dpi), (dots, size) in zip(row["inputs"]["cases"], row["expected"], strict=True):
        assert list(form.whole_dots(wish, dpi)) == pytest.approx([dots, size], abs=0.00005)


def test_module_sizes_are_those_of_a_published_table(reference: Reference) -> None:
    row = reference("GEO-03")
    for (dpi, dots), size in zip(row["inputs"]["cases"], row["expected"], strict=True):
        assert list(form.whole_dots(size, dpi)) == pytest.approx([dots, size], abs=0.00005)


def test_a_symbol_is_read_from_ten_times_its_width(reference: Reference) -> None:
    row = reference("GEO-16")
    far = [form.scan_distance(symbol) for symbol in row["inputs"]["symbol_mm"]]
    assert far == row["expected"]["distance_mm"]


def test_symbol_sides_are_those_reckoned(reference: Reference) -> None:
    row = reference("GEO-04")
    for (dpi, dots), expected in zip(row["inputs"]["cases"], row["expected"], strict=True):
        assert form.side(25, dots, dpi) == pytest.approx(expected, abs=0.001)


def test_published_worked_example_comes_out(reference: Reference) -> None:
    row = reference("GEO-01")
    given_, expected = row["inputs"], row["expected"]
    modules = len(qr.modules("A" * given_["chars"], given_["ec"]))
    assert modules == 17 + 4 * expected["version"]
    whole = form.side(modules, given_["dots"], given_["dpi"])
    assert whole == pytest.approx(expected["with_quiet_zone_mm"], abs=0.0005)
    bare = whole * modules / (modules + 2 * qr.QUIET)
    assert bare == pytest.approx(expected["symbol_mm"], abs=0.0005)


@settings(max_examples=60, deadline=None)
@given(millimetres, millimetres, st.sampled_from([203, 300, 600, 1200]))
def test_parts_of_a_label_lie_inside_it_and_apart(width: float, height: float, dpi: int) -> None:
    room = Room(1.0, 2.0, width, height)
    try:
        made = form.fit(room, NEED, dpi)
    except InvalidError:
        return
    assert made.dots >= 3
    assert 0.25 <= made.dots * 25.4 / dpi <= 0.8 + 25.4 / dpi
    assert made.symbol.width == pytest.approx(form.side(25, made.dots, dpi))
    for part in (made.symbol, made.text):
        assert part.left >= room.left - 1e-9
        assert part.top >= room.top - 1e-9
        assert part.left + part.width <= room.left + width + 1e-9
        assert part.top + part.height <= room.top + height + 1e-9
    if made.beside:
        assert made.text.left >= made.symbol.left + made.symbol.width - 1e-9
    else:
        assert made.text.top >= made.symbol.top + made.symbol.height - 1e-9


@pytest.mark.parametrize(
    ("width", "height", "beside", "cap"),
    [
        (61.5, 36.1, True, 3.0),  # the default sheet's label
        (17.0, 36.1, False, 3.0),  # a face of its flag
        (38.0, 9.0, True, 2.6),  # a narrow strip: two lines of 1.65 capitals are 9 mm at 2.7
    ],
)
def test_arrangement_suits_the_label(
    width: float, height: float, cap: float, *, beside: bool
) -> None:
    made = form.fit(Room(0, 0, width, height), NEED, 300)
    assert made.beside is beside
    assert made.cap == pytest.approx(cap, abs=0.05)
    assert made.whole >= 0.7 * made.cap


@pytest.mark.parametrize(("dpi", "dots"), [(203, 3), (300, 3), (600, 6), (1200, 12)])
def test_smallest_label_takes_the_least_module(dpi: int, dots: int) -> None:
    symbol = form.side(25, dots, dpi)
    play = 25.4 / dpi
    text_width = NEED.widest * 1.2 / NEED.cap
    smallest = Room(0, 0, symbol + text_width + 0.01, symbol + play + 0.01)
    assert form.fit(smallest, NEED, dpi).dots == dots
    with pytest.raises(InvalidError):
        form.fit(Room(0, 0, smallest.width - 0.1, smallest.height), NEED, dpi)
    with pytest.raises(InvalidError):
        form.fit(Room(0, 0, smallest.width, smallest.height - 0.1), NEED, dpi)


def test_label_that_is_too_small_is_refused_with_what_it_would_need() -> None:
    with pytest.raises(InvalidError) as caught:
        form.fit(Room(1, 1, 12, 7), NEED, 300)
    message = caught.value.message
    # 33 modules of 3 dots at 300 dpi; 5 em of 1.2 mm capitals; two lines.
    assert "12.0 x 7.0 mm to print on" in message
    assert "8.4 x 8.4 mm (25 modules of 3 dots at 300 dpi and the quiet zone)" in message
    assert "8.2 x 4.0 mm" in message
    assert message.endswith("Take a larger label, a printer with finer dots, or a shorter host.")
