"""What to look at first: categories from the greatest to the smallest, with their running share.

Rank by rate or cost rather than by count: the most numerous model always leads a list of
counts, and 3 against 2 is no difference.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from kb.review.methods import inputs


@dataclass(frozen=True)
class Bar:
    """One category.

    Attributes:
        name: What it's called.
        value: Its count, minutes or cost.
        share: Of the total; 0 where the total is 0.
        running: Of the total, all greater ones included.
    """

    name: str
    value: float
    share: float
    running: float


def ranked(values: Mapping[str, float], *, last: str = "other") -> tuple[Bar, ...]:
    """Return the categories, the greatest first; among equals by name; `last` always last.

    Args:
        values: Category -> count, minutes or cost, zero or more.
        last: The category that gathers the rest.

    Raises:
        InvalidError: A value below zero, or no number.
    """
    if any(not isfinite(one) or one < 0 for one in values.values()):
        raise inputs.refused("values", "one is below zero or no number. Mend it.")
    total = sum(values.values())
    order = sorted(values.items(), key=lambda pair: (pair[0] == last, -pair[1], pair[0]))
    bars: list[Bar] = []
    reached = 0.0
    for name, value in order:
        reached += value
        shares = (value / total, reached / total) if total else (0.0, 0.0)
        bars.append(Bar(name, value, *shares))
    return tuple(bars)
