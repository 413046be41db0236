"""What the templates of the entries' pages are handed."""

from dataclasses import dataclass

from kb.entries.library import EntryLine, EntryPage
from kb.entries.model import Entry
from kb.entries.source import Finding
from kb.errors import Problem
from kb.records.kinds import EntryStatus
from kb.search.unanswered import UnansweredLine
from kb.web.shown import FixStep


@dataclass(frozen=True)
class EntriesPage:
    """The entries by area, and what was searched and not found.

    Attributes:
        areas: Area to its entries, in the order of the list.
        area: The area that is listed alone; empty for all.
        text: The words that narrow the list.
        choices: Every area.
        wanted: Searches that found nothing, most asked first.
    """

    areas: tuple[tuple[str, tuple[EntryLine, ...]], ...]
    area: str
    text: str
    choices: tuple[str, ...]
    wanted: tuple[UnansweredLine, ...]


@dataclass(frozen=True)
class EntryView:
    """An entry to read.

    Attributes:
        page: Its line and its text, parsed.
        fixes: Its fixes with their evidence, the swap last.
        likely: Entries that it's confused with and that there are, by slug and title.
        item: The thing at hand, which a fault with this entry can be logged on; empty for none.
    """

    page: EntryPage
    fixes: tuple[FixStep, ...]
    likely: tuple[tuple[str, str], ...]
    item: str


@dataclass(frozen=True)
class EditPage:
    """An entry's text in the making.

    Attributes:
        title: What is edited.
        action: Where it's sent.
        text: The Markdown.
        back: Where one gets without keeping it.
        seen: The version that was looked at; empty for a new one.
        status: What a new entry becomes.
        note: Why it was changed.
        findings: What lint found, by line.
        problems: Why it could not be kept.
        entry: The entry as it would read; None where it can't be read.
    """

    title: str
    action: str
    text: str
    back: str
    seen: str = ""
    status: str = EntryStatus.ACCEPTED
    note: str = ""
    findings: tuple[Finding, ...] = ()
    problems: tuple[Problem, ...] = ()
    entry: Entry | None = None


@dataclass(frozen=True)
class Turn:
    """One revision: who, when, why, and the lines that it changed, marked by a word."""

    number: int
    when: str
    by: str
    why: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class RevisionsPage:
    """What became of an entry's text, the newest revision first."""

    line: EntryLine
    turns: tuple[Turn, ...]
