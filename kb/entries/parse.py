"""The text of an entry becomes an entry, or findings with the line of each."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TypeVar

from kb.entries import body, frontmatter, wording
from kb.entries.body import Body, Part
from kb.entries.model import Entry, Fix, Section, Swap
from kb.entries.source import Finding, Notes, Place
from kb.entries.words import AFTERWARDS, FIRST_ACTS, SWAP_KEY
from kb.errors import InvalidError, Problem

TEXT_LIMIT = 100_000

DASHES = "---"

ToldT = TypeVar("ToldT", Fix, Swap)


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a text held.

    Attributes:
        entry: The entry; None where anything was found.
        findings: What is wrong, by line.
        lines: A place's name, as ("symptoms", 3), to the line it stands on.
    """

    entry: Entry | None
    findings: tuple[Finding, ...]
    lines: Mapping[Place, int] = field(default_factory=dict)


def parse(text: str) -> Parsed:
    """Return the entry that the text of a file makes, or what is wrong with it."""
    notes = Notes()
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    end = _end_of_front(text, lines, notes)
    if notes.findings:
        return Parsed(None, tuple(notes.findings))
    front = frontmatter.read("\n".join(lines[1:end]), 2, notes)
    below = body.read("\n".join(lines[end + 1 :]), end + 2, notes)
    entry = _joined(front, below, notes)
    findings = tuple(sorted(set(notes.findings)))
    return Parsed(None if findings else entry, findings, notes.lines)


@lru_cache(maxsize=512)
def entry_from(text: str) -> Entry:
    """Return the entry that the text of a file makes; kept, since pages ask for the same ones.

    Raises:
        InvalidError: Naming everything that is wrong, each by its line.
    """
    parsed = parse(text)
    if parsed.entry is None:
        raise InvalidError(
            Problem(f"line {finding.line}", finding.message) for finding in parsed.findings
        )
    return parsed.entry


def _end_of_front(text: str, lines: list[str], notes: Notes) -> int:
    """Return the number of the line that closes the front matter, counted from 0."""
    if len(text) > TEXT_LIMIT:
        mend = f"{TEXT_LIMIT:,} fit. Shorten it, or make two entries."
        notes.find(1, f"{len(text):,} characters are too many: {mend}")
        return 0
    for number, line in enumerate(lines, start=1):
        refused = wording.refused_character(line)
        if refused:
            mend = "Take it out."
            notes.find(number, f"the line holds the character U+{ord(refused):04X}. {mend}")
    if lines[0].rstrip() != DASHES:
        notes.find(1, f"the first line isn't '{DASHES}'. Begin the front matter with it.")
        return 0
    for number, line in enumerate(lines[1:], start=1):
        if line.rstrip() == DASHES:
            return number
    notes.find(1, f"the front matter isn't closed. Put a line '{DASHES}' below it.")
    return 0


def _joined(front: Entry, below: Body, notes: Notes) -> Entry:
    """Return the entry with the body's texts put where they belong."""
    parts: dict[str, Part] = {}
    for part in below.parts:
        name = part.key or part.title
        if name in parts:
            notes.find(part.line, f"the heading for '{name}' comes twice. Make it one.")
        parts.setdefault(name, part)
    _find_strangers(front, parts, notes)
    swap = front.swap and _told(front.swap, SWAP_KEY, ("swap",), parts, notes)
    return replace(
        front,
        about=below.about,
        first_acts=_unkeyed(FIRST_ACTS, parts, notes),
        fixes=tuple(_told(fix, fix.key, ("fixes", fix.key), parts, notes) for fix in front.fixes),
        swap=swap,
        afterwards=_unkeyed(AFTERWARDS, parts, notes),
    )


def _find_strangers(front: Entry, parts: Mapping[str, Part], notes: Notes) -> None:
    """Note the headings whose key is no fix's."""
    known = list(_keys(front))
    for part in parts.values():
        if part.key and part.key not in known and front.fixes:
            listed = ", ".join(known)
            notes.find(part.line, f"no fix has the key '{part.key}'. Known are: {listed}.")


def _keys(front: Entry) -> Iterator[str]:
    yield from (fix.key for fix in front.fixes)
    if front.swap:
        yield SWAP_KEY


def _told(record: ToldT, key: str, place: Place, parts: Mapping[str, Part], notes: Notes) -> ToldT:
    """Return the fix or swap with its title and section; that they are missing is noted."""
    part = parts.get(key)
    if part is None:
        line = notes.lines.get(place, 1)
        notes.find(line, f"no heading tells how. Write '## Title {{#{key}}}' and the steps.")
        return record
    return replace(record, title=part.title, section=part.section)


def _unkeyed(name: str, parts: Mapping[str, Part], notes: Notes) -> Section:
    part = parts.get(name)
    if part is None:
        return Section()
    if part.section.is_empty:
        notes.find(part.line, f"nothing stands under '{name}'. Fill it, or take it out.")
    return part.section
