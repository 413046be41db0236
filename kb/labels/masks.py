"""Which mask a symbol takes: the one of least penalty by the rules of ISO/IEC 18004, 7.8.3.

What a mask changes does not depend on what the symbol holds, so all eight symbols come from one
by turning over the same modules, and are judged together.
"""

import numpy as np
from numpy.typing import NDArray

Modules = NDArray[np.bool_]

COUNT = 8
_RUN, _BLOCK, _FINDER, _BALANCE = 3, 3, 40, 10  # the standard's N1 to N4
_LEAST_RUN = 5
_PATTERN = np.array([1, 0, 1, 1, 1, 0, 1], dtype=bool)
_LIGHT = np.zeros(4, dtype=bool)
_LIKE_FINDERS = (np.concatenate([_PATTERN, _LIGHT]), np.concatenate([_LIGHT, _PATTERN]))
_STEP = 5  # per cent, of the share of dark modules


def least(symbols: Modules) -> int:
    """Return the number of the symbol with the least penalty, the first of equals.

    Args:
        symbols: Stacked along the first axis, dark modules true.
    """
    return int(np.argmin(penalties(symbols)))


def penalties(symbols: Modules) -> NDArray[np.int_]:
    """Return each symbol's penalty."""
    both = (symbols, symbols.transpose(0, 2, 1))
    lines = sum(_runs(lines) + _finders(lines) for lines in both)
    total: NDArray[np.int_] = lines + _blocks(symbols) + _balance(symbols)
    return total


def _runs(symbols: Modules) -> NDArray[np.int_]:
    """Punish runs of five and more of one colour in a row: 3 for five, 1 for each further."""
    same = symbols[:, :, 1:] == symbols[:, :, :-1]
    steps = _LEAST_RUN - 1
    whole = np.logical_and.reduce(
        [same[:, :, k : same.shape[2] - steps + 1 + k] for k in range(steps)]
    )
    begun = whole.copy()
    begun[:, :, 1:] &= ~whole[:, :, :-1]
    counted: NDArray[np.int_] = whole.sum((1, 2)) + (_RUN - 1) * begun.sum((1, 2))
    return counted


def _finders(symbols: Modules) -> NDArray[np.int_]:
    """Punish what looks like a finder pattern with four light modules beside it."""
    windows = np.lib.stride_tricks.sliding_window_view(symbols, _LIKE_FINDERS[0].size, axis=2)
    found = sum((windows == pattern).all(-1).sum((1, 2)) for pattern in _LIKE_FINDERS)
    return np.asarray(found) * _FINDER


def _blocks(symbols: Modules) -> NDArray[np.int_]:
    """Punish squares of two by two of one colour."""
    across = symbols[:, :, 1:] == symbols[:, :, :-1]
    down = symbols[:, 1:, :] == symbols[:, :-1, :]
    found: NDArray[np.int_] = (across[:, 1:] & across[:, :-1] & down[:, :, 1:]).sum((1, 2))
    return found * _BLOCK


def _balance(symbols: Modules) -> NDArray[np.int_]:
    """Punish each whole five per cent by which the dark share is off a half."""
    share = symbols.mean((1, 2)) * 100
    steps: NDArray[np.int_] = np.floor(np.abs(share - 50) / _STEP + 1e-9).astype(int)
    return steps * _BALANCE
