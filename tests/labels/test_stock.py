"""A stock is its numbers, and wrong numbers are named."""

from collections.abc import Callable
from dataclasses import fields
from typing import Any

import pytest

from kb.errors import InvalidError
from kb.labels import stock
from kb.labels.stock import Stock

GOOD: dict[str, object] = {
    "page_width": 210,
    "page_height": 297,
    "columns": 3,
    "rows": 7,
    "pitch_x": 66.0,
    "pitch_y": 38.1,
    "margin_left": 7.25,
    "margin_top": 15.15,
    "label_width": 63.5,
    "label_height": 38.1,
    "corner": 2.0,
    "dead_zone": 5.0,
    "dpi": 300,
}


def parsed(**changes: object) -> Stock:
    """Read the good stock with some numbers changed; None leaves one out."""
    values = {key: value for key, value in (GOOD | changes).items() if value is not None}
    return stock.parse("\n".join(f"{key} = {value}" for key, value in values.items()), "trial")


def test_margins_and_count_follow_from_the_numbers(
    reference: Callable[[str], dict[str, Any]],
) -> None:
    row = reference("GEO-08")
    given, expected = row["inputs"], row["expected"]
    made = parsed(
        page_width=given["page"][0],
        page_height=given["page"][1],
        columns=given["cols"],
        rows=given["rows"],
        pitch_x=given["pitch"][0],
        pitch_y=given["pitch"][1],
        margin_left=given["margin_left_top"][0],
        margin_top=given["margin_left_top"][1],
        label_width=given["label"][0],
        label_height=given["label"][1],
    )
    assert made.margin_right == pytest.approx(expected["margin_right"], abs=0.001)
    assert made.margin_bottom == pytest.approx(expected["margin_bottom"], abs=0.001)
    assert len(list(made.corners())) == expected["labels"]


def test_labels_are_counted_row_by_row() -> None:
    corners = list(parsed().corners())
    assert corners[:4] == [
        pytest.approx(corner) for corner in ((7.25, 15.15), (73.25, 15.15), (139.25, 15.15))
    ] + [pytest.approx((7.25, 53.25))]
    assert corners[-1] == pytest.approx((139.25, 243.75))


def test_print_keeps_clear_of_what_the_printer_cannot_reach() -> None:
    wide = parsed(dead_zone=10)
    assert wide.inset_x == pytest.approx(10 - 7.25)
    assert wide.inset_y == stock.EDGE


def test_thickest_cable_is_what_the_faces_leave_of_the_label() -> None:
    # Two faces, once round the cable, and the play: 2 x 18 + pi x 8.117 + 2 = 63.5 mm.
    assert parsed(flag_face=18).thickest_cable == pytest.approx(8.117, abs=0.001)
    assert parsed().thickest_cable is None


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"pitch_x": 60}, "pitch_x", "labels would overlap"),
        ({"pitch_y": 38}, "pitch_y", "labels would overlap"),
        ({"columns": 4}, "page_width", "58.75 mm outside the page of 210 mm"),
        ({"rows": 8}, "page_height", "22.95 mm outside the page of 297 mm"),
        ({"margin_left": -1}, "margin_left", "-1 is too small, it must be 0 or more"),
        ({"label_width": 0}, "label_width", "must be more than 0"),
        ({"columns": 2.5}, "columns", "'2.5' is not a whole number"),
        ({"columns": 0}, "columns", "must be more than 0"),
        ({"rows": "true"}, "rows", "'True' is not a whole number"),
        ({"pitch_x": "'wide'"}, "pitch_x", "'wide' is not a number of millimetres"),
        ({"corner": "nan"}, "corner", "is not a number"),
        ({"page_width": "inf"}, "page_width", "is not a number"),
        ({"corner": 19.1}, "corner", "over half the label's shorter side"),
        ({"dead_zone": 40}, "dead_zone", "leaves nothing"),
        ({"dpi": 72}, "dpi", "printers have 150 to 1200"),
        ({"dpi": 2400}, "dpi", "printers have 150 to 1200"),
        ({"dpi": None}, "dpi", "it is missing"),
        ({"colour": 3}, "colour", "no such number"),
        ({"name": "'x'"}, "name", "no such number"),
        ({"flag_face": 31}, "flag_face", "leave nothing of 63.5 mm to go round a cable"),
        ({"print_band": 36}, "print_band", "too little of 38.1 mm to go round a cable"),
        ({"print_band": 12, "flag_face": 18}, "print_band", "a wrap or a flag"),
        ({"page_width": 900}, "page_width", "over 600 mm"),
        ({"columns": 101, "pitch_x": 0.1, "label_width": 0.1}, "columns", "over 100"),
    ],
)
def test_wrong_number_is_named(changes: dict[str, object], field: str, said: str) -> None:
    with pytest.raises(InvalidError) as caught:
        parsed(**changes)
    messages = {problem.field: problem.message for problem in caught.value.problems}
    assert said in messages[f"stock trial, {field}"]


def test_every_wrong_number_is_named_at_once() -> None:
    with pytest.raises(InvalidError) as caught:
        parsed(dpi=None, rows=0, colour=1)
    assert len(caught.value.problems) == 3


def test_broken_file_is_refused_with_the_place() -> None:
    with pytest.raises(InvalidError, match=r"stock trial: it is no TOML.*line 2"):
        stock.parse("rows = 1\ncolumns = wide\n", "trial")


def test_another_printer_gets_its_own_resolution() -> None:
    assert parsed().at(600).dpi == 600
    with pytest.raises(InvalidError, match="printers have"):
        parsed().at(0)


def test_shipped_sheet_passes_its_own_rules(a4: Stock) -> None:
    assert {field.name for field in fields(a4)} == GOOD.keys() | {
        "name",
        "flag_face",
        "print_band",
    }
    assert a4.columns * a4.rows == 21
    assert a4.margin_right == pytest.approx(a4.margin_left)
    assert a4.thickest_cable is not None
    assert a4.thickest_cable > 8
