"""An entry under the rules of the house, with the lines of its file."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass

from kb.entries.model import Entry, Section
from kb.entries.source import Finding, Place
from kb.entries.words import AFTERWARDS, FIRST_ACTS, SWAP_KEY


@dataclass(frozen=True, slots=True)
class Case:
    """One entry under the rules.

    Attributes:
        text: The text of its file.
        entry: What the text holds.
        lines: Where each place stands.
        known_slugs: The slugs of all entries there are.
    """

    text: str
    entry: Entry
    lines: Mapping[Place, int]
    known_slugs: Collection[str]

    def at(self, *place: str | int) -> int:
        """Return the line of a place, or of the nearest one around it that is known."""
        while place and place not in self.lines:
            place = place[:-1]
        return self.lines.get(place, 1)

    def sections(self) -> Iterator[tuple[str, Section]]:
        """Yield the sections of the body with the names their places go by."""
        yield FIRST_ACTS, self.entry.first_acts
        yield from ((fix.key, fix.section) for fix in self.entry.fixes)
        if self.entry.swap:
            yield SWAP_KEY, self.entry.swap.section
        yield AFTERWARDS, self.entry.afterwards


Rule = Callable[[Case], Iterator[Finding]]
