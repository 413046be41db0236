"""One family of errors; each message says what is wrong and how to mend it.

A face turns a family into an exit code or a status; no prose stands in the faces.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

_QUOTE_LIMIT = 60


def quoted(given: object) -> str:
    """Return what was given, quoted for a sentence: one line, short, nothing invisible."""
    text = str(given)
    shown = "".join(
        character if character.isprintable() else f"<U+{ord(character):04X}>"
        for character in text[:_QUOTE_LIMIT]
    )
    return f"'{shown}{'…' if len(text) > _QUOTE_LIMIT else ''}'"


@dataclass(frozen=True)
class Problem:
    """What is wrong with one field, and how to mend it.

    Attributes:
        field: The field's name as the person knows it; empty where it's the whole.
        message: One sentence: what is wrong and the mend.
    """

    field: str
    message: str

    def __str__(self) -> str:
        """Return the field and its message on one line."""
        return f"{self.field}: {self.message}" if self.field else self.message


class KitloreError(Exception):
    """Base of every error raised on purpose."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class InvalidError(KitloreError):
    """The input can't be taken as it is; every bad field is named."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class NotFoundError(KitloreError):
    """Nothing is known under that code, name, number or address."""

    def __init__(self, what: str, given: str, mend: str) -> None:
        self.what = what
        self.given = given
        super().__init__(f"No {what} {quoted(given)}. {mend}")


class ConflictError(KitloreError):
    """The record was changed meanwhile, or the act contradicts what is recorded."""


class UnlikelyError(ConflictError):
    """It could be done, and looks like a slip: done where the same is said once more, as meant.

    A face adds how that is said.
    """


class BusyError(KitloreError):
    """Somebody else is writing; the same call may go through later."""


class StorageError(KitloreError):
    """The workspace can't be read or written: full, read-only, damaged, or too new."""

    def __init__(self, message: str, path: Path | None = None) -> None:
        super().__init__(message)
        self.path = path
