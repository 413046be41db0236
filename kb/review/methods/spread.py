"""Whether failures pile up on few units, or lie as chance spreads them.

Each failure falls on a unit with a chance in proportion to its exposure, if all units are
alike. The chi-square of the counts is compared with those of drawn histories (few failures make
its table useless), and the greatest pile is told.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kb.review.methods import inputs

_DRAWS = 10_000
_MOST_AT_ONCE = 2_000_000
_SEED = 610
_UNITS_NEEDED = 2


@dataclass(frozen=True)
class Spread:
    """How failures lie on units.

    Attributes:
        failures: How many.
        units: On how many they could fall.
        chi_square: Sum of (seen - expected)^2 / expected.
        p: The chance of a greater one where all units are alike, by 10,000 drawn histories.
    """

    failures: int
    units: int
    chi_square: float
    p: float


def over_units(failures: Sequence[int], exposures: Sequence[float]) -> Spread:
    """Return whether failures pile up on few units, drawn with a fixed seed.

    Args:
        failures: Of each unit.
        exposures: Of each unit, above zero.

    Raises:
        InvalidError: Fewer than two units, no failure, no exposure, or lists that don't match.
    """
    inputs.alike("exposures", failures, exposures)
    seen = np.array([inputs.count("failures", one) for one in failures])
    time = inputs.numbers("exposures", exposures, above=0)
    total = int(seen.sum())
    if len(seen) < _UNITS_NEEDED or not total:
        raise inputs.refused("failures", "two units and a failure are needed. Wait for more.")
    share = time / time.sum()
    expected = total * share
    statistic = float(((seen - expected) ** 2 / expected).sum())
    chance = np.random.default_rng(_SEED)
    rows = max(1, min(_DRAWS, _MOST_AT_ONCE // len(seen)))
    greater = 0
    for done in range(0, _DRAWS, rows):
        drawn = chance.multinomial(total, share, size=min(rows, _DRAWS - done))
        values = ((drawn - expected) ** 2 / expected).sum(axis=1)
        greater += int((values >= statistic - 1e-9).sum())
    return Spread(total, len(seen), statistic, (greater + 1) / (_DRAWS + 1))
