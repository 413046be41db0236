"""What each figure means: the line that stands under it, with its unit and its source."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kb.review.methods.choice import Figure, NotShown

_YEAR = "per unit and year of 365.25 days"
TEXTS: dict[Figure, str] = {
    Figure.EXPOSURE: "days that each unit was in use within the window, added up; time set aside "
    "doesn't count",
    Figure.BOUND: f"failures {_YEAR}; exact upper limit of the two-sided interval, as none "
    "was seen",
    Figure.RATE: f"failures {_YEAR}; exact two-sided limits (chi-square), for a rate that is "
    "constant in time",
    Figure.MEAN_TIME: "calendar days in use between failures, repair time counted (ISO 14224, "
    "3.60); exact two-sided limits",
    Figure.SHRUNK: f"failures {_YEAR}, drawn towards what its class shows; two-sided credible "
    "limits, ranked by the lower one",
    Figure.TREND: "do units fail more often with age: Laplace's test and that of MIL-HDBK-189, "
    "two-sided p",
    Figure.POWER_LAW: "failures by age go as age to the power of beta, above 1 worsening (IEC "
    "61710); exact conditional limits; fit by Cramer and von Mises",
    Figure.CUMULATIVE: "failures a unit has had by an age (Nelson); robust limits of Lawless and "
    "Nadeau, log form",
    Figure.SURVIVAL: "the share that outlasts an age (Kaplan and Meier); log-log limits",
    Figure.WEIBULL: "a law of the ages at failure: shape above 1 is wear, below 1 early failure; "
    "maximum likelihood, profile limits of the shape",
    Figure.STEADY_AVAILABILITY: "up time over up and down time in the long run",
    Figure.RATIO: "one rate over the other; exact conditional limits, central p; adjusted by Holm "
    "where several pairs are compared",
    Figure.CURVES_TEST: "mean cumulative functions compared (Cook, Lawless and Nadeau), units as "
    "wholes",
    Figure.LOG_RANK: "survival curves compared (log-rank)",
    Figure.RAW_RANKING: "models by the rate seen",
}


@dataclass(frozen=True)
class Basis:
    """What a figure rests on.

    Attributes:
        since: First day of the window.
        until: The day after its last one.
        unit_days: Exposed in it.
        failures: Counted in it.
        confidence: Of each two-sided interval.
    """

    since: date
    until: date
    unit_days: int
    failures: int
    confidence: float

    @property
    def in_words(self) -> str:
        """The basis as it's told."""
        failures = f"{self.failures:,} failure{'' if self.failures == 1 else 's'}"
        return (
            f"{failures} in {self.unit_days:,} unit-days, {self.since} up to, not including, "
            f"{self.until}; limits {100 * self.confidence:.10g} %"
        )


def line(figure: Figure, basis: Basis, not_shown: Iterable[NotShown] = ()) -> str:
    """Return the line under a figure: what it means, what it rests on, what isn't shown and why.

    Args:
        figure: What it stands under.
        basis: What it rests on.
        not_shown: Figures that somebody might look for here.
    """
    parts = [f"{figure.value.capitalize()}: {TEXTS[figure]}. {basis.in_words}."]
    parts += [f"No {one.figure.value}: {one.reason}." for one in not_shown]
    return " ".join(parts)
