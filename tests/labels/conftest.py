"""A stock, a typeface, labels and published values for the tests of labels."""

import json
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest

from kb.gear import codes
from kb.labels import font, shelf
from kb.labels.font import DejaVuFace
from kb.labels.stock import Stock
from kb.labels.text import LabelText

HERE = Path(__file__).parent
SHIPPED = HERE.parents[1] / "labels"


@pytest.fixture(scope="session")
def reference() -> Callable[[str], dict[str, Any]]:
    """Return the published check value of that id."""
    rows = json.loads((HERE.parent / "reference" / "labels.json").read_text(encoding="utf-8"))
    by_id = {row["id"]: row for row in rows}
    return lambda name: dict(by_id[name])


@pytest.fixture(scope="session")
def face() -> DejaVuFace:
    return font.load()


@pytest.fixture(scope="session")
def a4() -> Stock:
    """Return the sheet that is used when nobody names a stock."""
    return shelf.find(shelf.DEFAULT, [SHIPPED])


@pytest.fixture
def one_label() -> Callable[..., Stock]:
    """Make a stock of one label a page, of any size."""

    def made(width: float, height: float, dpi: int = 300, flag_face: float | None = None) -> Stock:
        return Stock(
            "roll", width, height, 1, 1, width, height, 0, 0, width, height, 0, 0, dpi, flag_face
        )

    return made


@pytest.fixture(scope="session")
def mixed() -> tuple[LabelText, ...]:
    """Return labels of five devices and of both ends of eight cables: 21."""
    source = Random(5)  # noqa: S311 - chance that repeats
    devices = [
        LabelText(codes.make(source), f"CC-{number:02d}", lines=("call computer", "rack 1"))
        for number in range(1, 6)
    ]
    cables = [(codes.make(source), f"HD-{number:02d}") for number in range(1, 9)]
    ends = [
        LabelText(code, name, "A" if number == 0 else "B")
        for code, name in cables
        for number in range(2)
    ]
    return (*devices, *ends)
