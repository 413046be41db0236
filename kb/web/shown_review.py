"""What the templates of the review are handed."""

from collections.abc import Mapping
from dataclasses import dataclass

from kb.errors import Problem
from kb.review.health import Finding
from kb.review.paper import Review
from kb.review.report import ModelReview


@dataclass(frozen=True)
class ReviewPage:
    """The review of models.

    Attributes:
        review: The figures; None where they can't be made.
        query: The window and the confidence, for the chart's address.
        since: As typed.
        until: As typed.
        confidence: As typed.
        problems: Why there are no figures.
        gaps: How many kinds of gap the data have.
    """

    review: ModelReview | None
    query: str
    since: str
    until: str
    confidence: str
    problems: tuple[Problem, ...]
    gaps: int


@dataclass(frozen=True)
class HealthPage:
    """What is missing in the data."""

    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Choice:
    """One of what may be chosen: what is sent, and how it's told."""

    value: str
    text: str


@dataclass(frozen=True)
class PartsPage:
    """A review that speaks in parts.

    Attributes:
        kind: Which review, as in its address.
        title: Its heading.
        review: What it says; None until what it needs is filled in.
        typed: What was filled in, by field.
        query: The same, for the addresses of charts, sheets and paper.
        choices: What may stand for the name; empty where anything may.
        problems: Why there is no review.
    """

    kind: str
    title: str
    review: Review | None
    typed: Mapping[str, str]
    query: str
    choices: tuple[Choice, ...]
    problems: tuple[Problem, ...]
