"""What the methods are handed, made sure of: numbers, counts and shares, or a refusal."""

from collections.abc import Sequence
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from kb.errors import InvalidError, Problem

Numbers = NDArray[np.float64]


def refused(field: str, message: str) -> InvalidError:
    """Return the error for one argument."""
    return InvalidError([Problem(field, message)])


def confidence(value: float) -> float:
    """Return the confidence of an interval.

    Raises:
        InvalidError: It isn't between 0 and 1.
    """
    if not 0 < value < 1:
        raise refused("confidence", f"{value:g} is not between 0 and 1. Give 0.9 for 90 %.")
    return value


def count(field: str, value: int) -> int:
    """Return a number of events.

    Raises:
        InvalidError: It's below zero, or not whole.
    """
    if not (isfinite(value) and value >= 0 and value == int(value)):
        raise refused(field, f"{value} is no number of events. Count again.")
    return int(value)


def above_zero(field: str, value: float) -> float:
    """Return a number above zero.

    Raises:
        InvalidError: It's zero, below, or no number.
    """
    if not (isfinite(value) and value > 0):
        raise refused(field, f"{value:g} is not above zero. Leave out what has no time or value.")
    return float(value)


def numbers(field: str, values: Sequence[float], *, above: float | None = None) -> Numbers:
    """Return numbers as an array, in the order given.

    Args:
        field: What the error names.
        values: The numbers; none is allowed.
        above: What each must exceed, where there is such a bound.

    Raises:
        InvalidError: One is infinite, no number, or not above the bound.
    """
    made = np.asarray(list(values), dtype=np.float64)
    if not np.isfinite(made).all():
        raise refused(field, "one of them is infinite or no number. Leave it out.")
    if above is not None and (made <= above).any():
        raise refused(field, f"{made.min():g} is not above {above:g}. Leave it out or mend it.")
    return made


def alike(field: str, one: Sequence[object], other: Sequence[object]) -> None:
    """Make sure that two arguments are of one length.

    Raises:
        InvalidError: They aren't.
    """
    if len(one) != len(other):
        raise refused(field, f"{len(one)} against {len(other)} values. Give one for each.")
