"""What the house asks of an entry beyond being readable, each with the line and the mend."""

from collections.abc import Collection, Iterator
from itertools import zip_longest

from kb.entries import figures, parse, prose, render
from kb.entries.case import Case, Rule
from kb.entries.source import Finding


def lint(text: str, known_slugs: Collection[str]) -> tuple[Finding, ...]:
    """Return everything that keeps the text of an entry out of the base, by line.

    Args:
        text: The text of its file.
        known_slugs: The slugs of all entries there are, which it may point at.
    """
    parsed = parse.parse(text)
    if parsed.entry is None:
        return parsed.findings
    case = Case(text, parsed.entry, parsed.lines, known_slugs)
    return tuple(sorted({finding for rule in RULES for finding in rule(case)}))


def house_form(case: Case) -> Iterator[Finding]:
    """Find the first line that isn't written as the house writes it."""
    wanted = render.to_markdown(case.entry)
    pairs = zip_longest(case.text.split("\n"), wanted.split("\n"))
    for number, (given, want) in enumerate(pairs, start=1):
        if given != want:
            yield Finding(number, _mend(given, want))
            return


def _mend(given: str | None, want: str | None) -> str:
    """Return what to do about a line that should be another; None stands for no line."""
    if want is None:
        return "the file goes on where it should end. Take the rest out."
    if given is None:
        return "the file stops here. End it in one line feed."
    if given.rstrip("\r") == want:
        return "the line ends in a carriage return. End lines in a line feed."
    return f"the house writes this line so: {want!r}"


RULES: tuple[Rule, ...] = (house_form, *figures.RULES, *prose.RULES)
