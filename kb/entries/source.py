"""Where each part of an entry stands in its file, and what is wrong there."""

from dataclasses import dataclass, field

Place = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """What is wrong in the text of an entry.

    Attributes:
        line: The line of the file, counted from 1.
        message: What is wrong and how to mend it.
    """

    line: int
    message: str

    def __str__(self) -> str:
        """Return the line and the message."""
        return f"line {self.line}: {self.message}"


@dataclass(slots=True)
class Notes:
    """What is noted down while a text is read.

    Attributes:
        findings: What is wrong, in the order of reading.
        lines: A place's name ("symptoms", 3) to the line it stands on.
    """

    findings: list[Finding] = field(default_factory=list)
    lines: dict[Place, int] = field(default_factory=dict)

    def find(self, line: int, message: str) -> None:
        """Note a finding."""
        self.findings.append(Finding(line, message))
