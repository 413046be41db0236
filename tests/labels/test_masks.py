"""The mask taken is the one of least penalty, as another implementation of the rules counts."""

from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode.util import lost_point

from kb.labels import masks, qr


def counted_elsewhere(symbols: masks.Modules) -> list[int]:
    """Return the penalties as the qrcode library counts them, one symbol at a time."""
    return [int(lost_point(one.tolist())) for one in symbols]  # type: ignore[no-untyped-call]


@pytest.mark.parametrize("level", get_args(qr.Level))
@pytest.mark.parametrize("version", [1, 2, 3, 7])
def test_penalties_are_those_of_another_implementation(version: int, level: qr.Level) -> None:
    segments = qr._segments("KB/K7M4")
    symbols = np.array([qr._matrix(segments, version, level, mask) for mask in range(8)])
    assert masks.penalties(symbols).tolist() == counted_elsewhere(symbols)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.05, 0.95))
def test_penalties_agree_on_any_picture(seed: int, dark: float) -> None:
    symbols = np.random.default_rng(seed).random((3, 25, 25)) < dark
    assert masks.penalties(symbols).tolist() == counted_elsewhere(symbols)


@pytest.mark.parametrize("text", ["http://KB/K7M4XV", "http://192.168.1.20:8080/CFHJKT"])
def test_a_symbol_takes_the_mask_of_least_penalty(text: str) -> None:
    matrix = qr.modules(text)
    version = (len(matrix) - 17) // 4
    # Both texts reach level H for free; a test of the levels says so.
    symbols = np.array([qr._matrix(qr._segments(text), version, "H", mask) for mask in range(8)])
    best = symbols[int(np.argmin(counted_elsewhere(symbols)))]
    assert best.tolist() == [list(row) for row in matrix]
