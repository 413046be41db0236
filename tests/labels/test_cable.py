"""What goes round a cable agrees with geometry and with what decoders were measured to read."""

from collections.abc import Callable
from typing import Any

import pytest

from kb.labels import cable

Reference = Callable[[str], dict[str, Any]]


def test_a_wrap_is_as_long_as_band_circumference_and_overlap(reference: Reference) -> None:
    row = reference("GEO-12")
    for case, expected in zip(row["inputs"]["cases"], row["expected"], strict=True):
        length = cable.wrap_length(case["P"], case["d"], case["o"])
        assert length == pytest.approx(expected, abs=0.02)
        assert case["o"] == cable.OVERLAP
        assert cable.thickest_in_wrap(length, case["P"]) == pytest.approx(case["d"])


def test_a_symbol_wider_than_half_the_cable_goes_on_a_flag(reference: Reference) -> None:
    row = reference("GEO-14")
    for (diameter, modules, module), expected in zip(
        row["inputs"]["cases"], row["expected"], strict=True
    ):
        wrapped = cable.symbol_may_wrap(diameter, modules * module)
        assert ("wrap" if wrapped else "flag") == expected


@pytest.mark.parametrize(
    ("typed", "diameter"),
    [
        ("6.1 mm", 6.1),
        ("6,1", 6.1),
        ("12mm", 12),
        ("0", None),
        ("thin", None),
        ("6 to 7", None),
        ("900 mm", None),
        ("", None),
    ],
)
def test_diameters_are_read_as_people_write_them(typed: str, diameter: float | None) -> None:
    assert cable.measured(typed) == diameter


def test_usual_diameters_are_told_with_their_cables() -> None:
    assert "RG-59 6.2" in list(cable.usual())
