"""What the templates of the review are handed."""

from dataclasses import dataclass

from kb.errors import Problem
from kb.review.health import Finding
from kb.review.report import ModelReview


@dataclass(frozen=True)
class ReviewPage:
    """The review of models.

    Attributes:
        review: The figures; None where they can't be made.
        query: The window and the confidence, for the chart's address.
        since: As typed.
        until: As typed.
        problems: Why there are no figures.
        gaps: How many kinds of gap the data have.
    """

    review: ModelReview | None
    query: str
    since: str
    until: str
    problems: tuple[Problem, ...]
    gaps: int


@dataclass(frozen=True)
class HealthPage:
    """What is missing in the data."""

    findings: tuple[Finding, ...]
