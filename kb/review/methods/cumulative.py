"""How many failures a thing that is repaired has had by a given age: the mean cumulative function.

Nelson's estimate adds, at each age, failures over units watched at it. No law is assumed, only
that watching a unit ends for reasons that have nothing to do with its condition. The variance
is the robust one of Lawless and Nadeau (1995), units taken as a whole: the simple one, which
adds the steps as if they were independent, is too small where few bad units cause most
failures. A curve that bends down is improving, one that bends up worsening.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, ndtri

from kb.review.methods import inputs
from kb.review.methods.rates import CONFIDENCE

Events = Sequence[Sequence[float]]


@dataclass(frozen=True)
class Curve:
    """A mean cumulative function, one place in each tuple for each age with a failure.

    Attributes:
        ages: Where it steps.
        at_risk: Units watched at that age; one whose watch ends at it still counts.
        events: Failures at that age, all units together.
        mean: Failures a unit has had by then.
        low: Lower limit, mean * exp(-z * error / mean).
        high: Upper limit.
        variance: Robust, of `mean`.
        variance_simple: As if all steps were independent.
        units: How many went in.
        confidence: Of each two-sided interval.
    """

    ages: tuple[float, ...]
    at_risk: tuple[int, ...]
    events: tuple[int, ...]
    mean: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    variance: tuple[float, ...]
    variance_simple: tuple[float, ...]
    units: int
    confidence: float

    def with_simple_variance(self) -> "Curve":
        """Return the curve with the limits that the simple variance gives."""
        low, high = _limits(np.array(self.mean), np.array(self.variance_simple), self.confidence)
        return replace(self, low=tuple(low.tolist()), high=tuple(high.tolist()))


@dataclass(frozen=True)
class Comparison:
    """Two groups' curves compared.

    Attributes:
        score: Above 0 where the first group fails more.
        chi_square: The robust statistic, one degree of freedom.
        p: Two-sided.
    """

    score: float
    chi_square: float
    p: float


@dataclass(frozen=True)
class _Watch:
    """Units and their failures as flat arrays.

    Attributes:
        unit: Whose each failure is, by number.
        age: Its age.
        starts: From which age each unit was watched.
        ends: Up to which.
    """

    unit: NDArray[np.int64]
    age: inputs.Numbers
    starts: inputs.Numbers
    ends: inputs.Numbers

    def at_risk(self, ages: inputs.Numbers) -> NDArray[np.int64]:
        """Return how many units are watched at each age: from after its start to its end."""
        begun = np.searchsorted(np.sort(self.starts), ages, side="left")
        over = np.searchsorted(np.sort(self.ends), ages, side="left")
        return np.asarray(begun - over, dtype=np.int64)


def curve(
    events: Events,
    ends: Sequence[float],
    *,
    starts: Sequence[float] | None = None,
    confidence: float = CONFIDENCE,
) -> Curve:
    """Return the mean cumulative function of units that are repaired.

    Args:
        events: The ages of each unit's failures; a unit without any has an empty list.
        ends: Up to which age each unit was watched.
        starts: From which age on; 0 by default.
        confidence: Of the two-sided interval at each age.

    Raises:
        InvalidError: An event outside its unit's time, lists that don't match, or no such
            confidence.
    """
    inputs.confidence(confidence)
    given = _watch(events, ends, starts)
    ages, events_at = np.unique(given.age, return_counts=True)
    risk = given.at_risk(ages)
    mean = np.cumsum(events_at / risk)
    simple = np.cumsum(events_at / risk**2 * (1 - 1 / risk))
    robust = _robust(given, ages, events_at, risk)
    low, high = _limits(mean, robust, confidence)
    return Curve(
        ages=tuple(ages.tolist()),
        at_risk=tuple(risk.tolist()),
        events=tuple(events_at.tolist()),
        mean=tuple(mean.tolist()),
        low=tuple(low.tolist()),
        high=tuple(high.tolist()),
        variance=tuple(robust.tolist()),
        variance_simple=tuple(simple.tolist()),
        units=len(given.ends),
        confidence=confidence,
    )


def compare(
    events: Events,
    ends: Sequence[float],
    other_events: Events,
    other_ends: Sequence[float],
    *,
    starts: Sequence[float] | None = None,
    other_starts: Sequence[float] | None = None,
) -> Comparison:
    """Return the pseudo-score test of two groups (Cook, Lawless and Nadeau 1996).

    Each age weighs r1 r2 / (r1 + r2), as in the log-rank test; the variance is the sum of the
    units' squared parts, so failures of one unit needn't be independent of each other.

    Args:
        events: The ages of each unit's failures in the first group.
        ends: Up to which age each of its units was watched.
        other_events: In the second group.
        other_ends: In the second group.
        starts: From which age on; 0 by default.
        other_starts: In the second group.

    Raises:
        InvalidError: As for `curve`, or no failure at an age that both groups reach.
    """
    groups = (_watch(events, ends, starts), _watch(other_events, other_ends, other_starts))
    ages = np.unique(np.concatenate([one.age for one in groups]))
    risks = [one.at_risk(ages) for one in groups]
    both = (risks[0] > 0) & (risks[1] > 0)
    ages, risks = ages[both], [risk[both] for risk in risks]
    weight = risks[0] * risks[1] / (risks[0] + risks[1])
    parts = [_parts(one, ages, risk, weight) for one, risk in zip(groups, risks, strict=True)]
    variance = float(sum((part**2).sum() for _, part in parts))
    if variance == 0:
        message = "no failure lies at an age that both groups reach. There is nothing to compare."
        raise inputs.refused("events", message)
    score = parts[0][0] - parts[1][0]
    chi_square = score**2 / variance
    return Comparison(score, chi_square, float(chdtrc(1, chi_square)))


def _watch(events: Events, ends: Sequence[float], starts: Sequence[float] | None) -> _Watch:
    first = list(starts) if starts is not None else [0.0] * len(ends)
    inputs.alike("ends", events, ends)
    inputs.alike("starts", events, first)
    unit = np.repeat(np.arange(len(events)), [len(one) for one in events])
    age = inputs.numbers("events", [age for one in events for age in one])
    made = _Watch(unit, age, inputs.numbers("starts", first), inputs.numbers("ends", ends))
    outside = (age <= made.starts[unit]) | (age > made.ends[unit])
    if outside.any():
        message = f"{age[outside][0]:g} is outside its unit's time. Mend the age or the end."
        raise inputs.refused("events", message)
    return made


def _limits(
    mean: inputs.Numbers, variance: inputs.Numbers, confidence: float
) -> tuple[inputs.Numbers, inputs.Numbers]:
    z = float(ndtri((1 + confidence) / 2))
    factor = np.exp(z * np.sqrt(variance) / mean) if len(mean) else mean
    return mean / factor, mean * factor


def _robust(
    given: _Watch,
    ages: inputs.Numbers,
    events_at: NDArray[np.int64],
    risk: NDArray[np.int64],
) -> inputs.Numbers:
    """Return the sum of the units' squared parts at each age, in time linear in what there is.

    A unit's part is what its own failures add (1 / risk each) less what was to be expected of
    it (events / risk ** 2 at each age it was watched at); the latter is common to all, so sums
    over the units that are watched are enough.
    """
    expected = np.cumsum(events_at / risk**2)
    before = np.concatenate([[0.0], expected])
    own = 1 / risk
    step = np.searchsorted(ages, given.age)
    order = np.argsort(step, kind="stable")
    entry = np.searchsorted(ages, given.starts, side="right")
    leave = np.searchsorted(ages, given.ends, side="right")
    held = before[entry].copy()  # what a unit watched now has, the common part not yet taken off
    enter_at, leave_at = _by_step(entry, len(ages)), _by_step(leave, len(ages))
    failed_at = np.split(given.unit[order], np.cumsum(events_at)[:-1])
    watched, first, second, gone = 0.0, 0.0, 0.0, 0.0
    found = np.empty(len(ages))
    for at in range(len(ages)):
        for unit in enter_at.get(at, ()):
            watched, first, second = watched + 1, first + held[unit], second + held[unit] ** 2
        for unit in leave_at.get(at, ()):
            watched, first, second = watched - 1, first - held[unit], second - held[unit] ** 2
            gone += (held[unit] - before[at]) ** 2
        for unit in failed_at[at]:
            second += (held[unit] + own[at]) ** 2 - held[unit] ** 2
            first += own[at]
            held[unit] += own[at]
        common = expected[at]
        found[at] = max(0.0, second - 2 * common * first + watched * common**2) + gone
    return found


def _by_step(steps: NDArray[np.int64], count: int) -> dict[int, list[int]]:
    """Return step -> the units whose watch begins or ends at it."""
    found: dict[int, list[int]] = {}
    for unit, step in enumerate(steps.tolist()):
        if step < count:
            found.setdefault(step, []).append(unit)
    return found


def _parts(
    given: _Watch, ages: inputs.Numbers, risk: NDArray[np.int64], weight: inputs.Numbers
) -> tuple[float, inputs.Numbers]:
    """Return a group's weighted failures per unit, and each unit's part in it."""
    step = np.searchsorted(ages, given.age)
    known = step < len(ages)
    known[known] = ages[step[known]] == given.age[known]
    step, unit = step[known], given.unit[known]
    events_at = np.bincount(step, minlength=len(ages))
    own = np.bincount(unit, weights=(weight / risk)[step], minlength=len(given.ends))
    expected = np.concatenate([[0.0], np.cumsum(weight * events_at / risk**2)])
    entry = np.searchsorted(ages, given.starts, side="right")
    leave = np.searchsorted(ages, given.ends, side="right")
    return float((weight * events_at / risk).sum()), own - (expected[leave] - expected[entry])
