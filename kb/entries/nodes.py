"""The plain part of YAML that entries use: nested lists and tables of texts.

Every scalar is a text: 'off' and '12:30' are what somebody typed, no truth value and no number.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import yaml

from kb.entries import wording
from kb.entries.source import Notes

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
DEPTH_LIMIT = 6

# What a plain scalar can't begin with, can't hold, and what a flow list or table can't hold
# besides (YAML 1.1 section 9.1.2 and 5.3; '?' in flow is PyYAML's own reading).
_LEADING = re.compile(r"[,\[\]{}#&*!|>'\"%@`]|[-?:](?: |$)")
_INNER = re.compile(r": | #|:$")
_FLOW = re.compile(r"[,\[\]{}?]|^:")

_CONTENT = (yaml.NodeEvent, yaml.CollectionEndEvent)


@dataclass(frozen=True, slots=True)
class Scalar:
    """A tidy text and its line."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Listing:
    """A list and its line."""

    line: int
    items: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Named values in order, and their line; no name comes twice."""

    line: int
    pairs: tuple[tuple[Scalar, "Node"], ...]


Node = Scalar | Listing | Table


def quoted(text: str, *, flow: bool) -> str:
    """Return the text as a YAML scalar, in double quotes where YAML needs them.

    Args:
        text: One tidy line.
        flow: Whether it stands in a list or table on one line.
    """
    if (
        text
        and not _LEADING.match(text)
        and not _INNER.search(text)
        and not (flow and _FLOW.search(text))
    ):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def read(text: str, first_line: int, notes: Notes) -> Node | None:
    """Return what the text holds, or None with a finding where YAML can't read it.

    Args:
        text: YAML.
        first_line: The file's line on which the text begins.
        notes: Takes the findings.
    """
    try:
        events = list(yaml.parse(text, Loader=LOADER))
    except yaml.YAMLError as error:
        _find_trouble(text, error, first_line, notes)
        return None
    _find_remarks(text, events, first_line, notes)
    _find_second(events, first_line, notes)
    inner = [event for event in events if isinstance(event, _CONTENT)]
    return _Reader(iter(inner), first_line, notes).root() if inner else None


def _find_trouble(text: str, error: yaml.YAMLError, first_line: int, notes: Notes) -> None:
    """Note what YAML can't read; what is left open shows at the last line."""
    mark = getattr(error, "problem_mark", None)
    line = min(mark.line if mark else 0, text.rstrip("\n").count("\n"))
    problem = getattr(error, "problem", None) or "it can't be read"
    mend = "Put a text that holds ': ', ' #' or brackets in double quotes, and close what is open."
    notes.find(first_line + line, f"this is no YAML: {problem}. {mend}")


def _find_remarks(text: str, events: list[yaml.Event], first_line: int, notes: Notes) -> None:
    """Note each remark: it would be lost when the entry is written again."""
    rest = list(text)
    for event in events:
        if isinstance(event, yaml.ScalarEvent) and event.start_mark and event.end_mark:
            start, end = event.start_mark.index, event.end_mark.index
            rest[start:end] = [c if c == "\n" else " " for c in rest[start:end]]
    for number, line in enumerate("".join(rest).split("\n"), start=first_line):
        if "#" in line:
            mend = "Put the text in double quotes, or take the remark out."
            notes.find(number, f"what follows '#' is a remark and would be lost. {mend}")


def _find_second(events: list[yaml.Event], first_line: int, notes: Notes) -> None:
    """Note what follows a line that begins with three dashes: nobody would read it."""
    starts = [event for event in events if isinstance(event, yaml.DocumentStartEvent)]
    for event in starts[1:]:
        line = first_line + (event.start_mark.line if event.start_mark else 0)
        notes.find(line, "'---' begins a second text. Take the line out, or put it in quotes.")


class _Reader:
    """Builds nodes from the events of YAML's parser."""

    def __init__(self, events: Iterator[yaml.Event], first_line: int, notes: Notes) -> None:
        self._events = events
        self._first_line = first_line
        self._notes = notes

    def root(self) -> Node:
        """Return the node that begins with the first event."""
        return self._node(next(self._events), 0)

    def _node(self, event: yaml.Event, depth: int) -> Node:
        line = self._first_line + (event.start_mark.line if event.start_mark else 0)
        self._refuse(event, line)
        if isinstance(event, yaml.SequenceStartEvent):
            return Listing(line, tuple(self._children(line, depth)))
        if isinstance(event, yaml.MappingStartEvent):
            return Table(line, tuple(self._pairs(line, depth)))
        text = getattr(event, "value", "")
        refused = wording.refused_character(text)
        if refused:
            self._notes.find(line, f"it holds the character U+{ord(refused):04X}. Take it out.")
        return Scalar(line, wording.tidy(text))

    def _children(self, line: int, depth: int) -> Iterator[Node]:
        """Yield the nodes up to the end of the list or table; too deep ones are passed over."""
        if depth == DEPTH_LIMIT:
            self._notes.find(line, "lists lie too deep in each other. Write it flatter.")
        level = 0
        while True:
            event = next(self._events)
            ends = isinstance(event, yaml.CollectionEndEvent)
            if ends and not level:
                return
            if depth < DEPTH_LIMIT:
                yield self._node(event, depth + 1)
            else:
                level += isinstance(event, yaml.CollectionStartEvent) - ends

    def _pairs(self, line: int, depth: int) -> Iterator[tuple[Scalar, Node]]:
        """Yield the names with their values; a name that comes again is noted."""
        seen: set[str] = set()
        children = self._children(line, depth)
        for name in children:
            value = next(children)
            if not isinstance(name, Scalar):
                self._notes.find(name.line, "a name must be a text. Put it in double quotes.")
            elif name.text in seen:
                self._notes.find(name.line, f"'{name.text}' comes twice. Keep one of them.")
            else:
                seen.add(name.text)
                yield name, value

    def _refuse(self, event: yaml.Event, line: int) -> None:
        """Note what entries do without: references, tags and texts over several lines."""
        if isinstance(event, yaml.AliasEvent):
            self._notes.find(line, "'*' opens a reference. Put the text in double quotes.")
        elif getattr(event, "anchor", None):
            self._notes.find(line, "'&' opens a mark. Put the text in double quotes.")
        elif getattr(event, "tag", None):
            self._notes.find(line, "'!' opens a tag. Put the text in double quotes.")
        elif getattr(event, "style", None) in ("|", ">"):
            self._notes.find(line, "'|' and '>' open a text of many lines. Write it on one line.")
