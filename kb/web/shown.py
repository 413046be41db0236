"""What the templates are handed: one frozen dataclass a page."""

from dataclasses import dataclass

from kb.errors import Problem


@dataclass(frozen=True)
class ErrorPage:
    """An error.

    Attributes:
        title: What kind of trouble it is.
        problems: Each with its field, if it has one, and its sentence.
    """

    title: str
    problems: tuple[Problem, ...]
