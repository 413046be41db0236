"""Whether the same comes back after it was restored; only complete windows are judged.

No standard formula was found, so this is a definition of our own, common practice, no source: a
repeat is a failure with the same symptom on the same unit within so many days after it was
restored. A restoration whose window isn't over is not yet observed; counting it as a success
would flatter the newest fixes. A repeat that came early is known early, but is judged with
the others of its time, when its window is complete.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from kb.review.methods import inputs, proportions, survival
from kb.review.methods.rates import CONFIDENCE
from kb.review.methods.survival import Lives


@dataclass(frozen=True)
class Recurrence:
    """How failures spread over units.

    Attributes:
        units: How many there are.
        failures: All failures.
        first: Units that failed at all: their first failures.
        repeats: Failures after a unit's first one.
        units_never: Units without a failure.
        units_again: Units that failed more than once.
        share: repeats / failures; None without a failure.
    """

    units: int
    failures: int
    first: int
    repeats: int
    units_never: int
    units_again: int
    share: float | None


@dataclass(frozen=True)
class RepeatRate:
    """How often the same came back within the window.

    Attributes:
        window: Its length.
        complete: Restorations whose window is over.
        repeats: Those of them after which the same came back in it.
        pending: Restorations whose window isn't over.
        share: repeats / complete; None without a complete window.
        low: Lower limit, exact.
        high: Upper limit, exact.
        within: The chance of a repeat within the window by Kaplan and Meier, which also uses
            the pending ones; None where nothing came back.
        confidence: Of the two-sided interval.
    """

    window: float
    complete: int
    repeats: int
    pending: int
    share: float | None
    low: float
    high: float
    within: float | None
    confidence: float


def recurrence(failures_of_units: Sequence[int]) -> Recurrence:
    """Return how many failures were first ones and how many repeats.

    Args:
        failures_of_units: How many failures each unit had, those with none too.

    Raises:
        InvalidError: A count below zero.
    """
    counts = [inputs.count("failures", one) for one in failures_of_units]
    failures, first = sum(counts), sum(1 for one in counts if one)
    return Recurrence(
        units=len(counts),
        failures=failures,
        first=first,
        repeats=failures - first,
        units_never=len(counts) - first,
        units_again=sum(1 for one in counts if one > 1),
        share=(failures - first) / failures if failures else None,
    )


def repeat_rate(
    watched: Sequence[float],
    until_next: Sequence[float | None],
    window: float,
    *,
    confidence: float = CONFIDENCE,
) -> RepeatRate:
    """Return how often the same came back within a window after it was restored.

    Args:
        watched: For how long each restoration has been watched, up to now or until its unit
            left use.
        until_next: After how long the same symptom came back on the same unit; None where it
            hasn't yet.
        window: How soon a return is a repeat, above zero, in the same unit of time.
        confidence: Of the two-sided interval.

    Raises:
        InvalidError: Lists that don't match, a return after the watch, no window, or no such
            confidence.
    """
    inputs.alike("until_next", watched, until_next)
    inputs.above_zero("window", window)
    pairs = list(zip(watched, until_next, strict=True))
    if any(back is not None and not 0 <= back <= seen for seen, back in pairs):
        raise inputs.refused("until_next", "one lies outside its watch. Mend the times.")
    complete = [back for seen, back in pairs if seen >= window]
    repeats = sum(1 for back in complete if back is not None and back <= window)
    low, high = 0.0, 1.0
    if complete:
        low, high = proportions.exact(repeats, len(complete), confidence=confidence)
    return RepeatRate(
        window=window,
        complete=len(complete),
        repeats=repeats,
        pending=len(pairs) - len(complete),
        share=repeats / len(complete) if complete else None,
        low=low,
        high=high,
        within=_within(pairs, window),
        confidence=inputs.confidence(confidence),
    )


def _within(pairs: Sequence[tuple[float, float | None]], window: float) -> float | None:
    bit = 1e-9  # what came back at once did so after a bit of time
    back = [max(one, bit) for _, one in pairs if one is not None]
    if not back:
        return None
    going = [max(seen, bit) for seen, one in pairs if one is None]
    return 1 - survival.kaplan_meier(Lives(back, going)).at(window)[0]
