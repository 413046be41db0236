"""What the templates are handed on the way to a fault: a scan, and the form of a report."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from kb.entries.library import EntryLine
from kb.errors import Problem
from kb.faults.usual import UsualLine
from kb.gear.pages import ItemPage


@dataclass(frozen=True)
class LogPage:
    """The form in which a fault is reported.

    Attributes:
        item: The thing; None where only a place is named.
        usual: Usual symptoms of its class, for one press.
        entry: The entry that was found for it; None where none was.
        rooms: Where it may have been seen, by what a press says; none where the thing is known.
        is_cable: Whether it has ends.
        effects: What a fault may do to a show.
        key: A mark that makes a repeated report harmless.
        typed: What was typed before, after a mistake.
        problems: What is wrong with that.
    """

    item: ItemPage | None
    usual: tuple[UsualLine, ...]
    entry: EntryLine | None
    rooms: tuple[tuple[str, str], ...]
    is_cable: bool
    effects: tuple[str, ...]
    key: str
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class ScanPage:
    """What a scan led to.

    Attributes:
        codes: Codes of the labels in a photo.
        words: What was typed and is on nothing that is known.
        problems: What is wrong with it.
    """

    codes: tuple[str, ...] = ()
    words: str = ""
    problems: tuple[Problem, ...] = ()
