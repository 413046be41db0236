"""What the templates of the entries' pages are handed."""

from dataclasses import dataclass

from kb.entries.library import EntryLine, EntryPage
from kb.entries.model import Entry
from kb.entries.overview import Summary
from kb.errors import Problem
from kb.gear.views import ItemLine
from kb.search.unanswered import UnansweredLine
from kb.web.shown import FixStep


@dataclass(frozen=True)
class EntriesPage:
    """The entries by area, and what was searched and not found.

    Attributes:
        areas: Area to its entries, in the order of the list.
        count: How many fit in all.
        area: The area that is listed alone; empty for all.
        status: The status that is listed alone; empty for all.
        text: The words that narrow the list.
        choices: Every area.
        statuses: Every status.
        wanted: Searches that found nothing, most asked first.
        before: The address of the page before; empty on the first.
        after: The address of the next page; empty on the last.
        problems: What is wrong with the filters.
    """

    areas: tuple[tuple[str, tuple[Summary, ...]], ...]
    count: int
    area: str
    status: str
    text: str
    choices: tuple[str, ...]
    statuses: tuple[str, ...]
    wanted: tuple[UnansweredLine, ...]
    before: str
    after: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class EntryView:
    """An entry to read.

    Attributes:
        page: Its line and its text, parsed.
        fixes: Its fixes with their evidence, the swap last.
        likely: Entries that it's confused with and that there are, by slug and title.
        item: The thing at hand, which a fault with this entry can be logged on; None for none.
        key: A mark that makes a repeated report of that harmless.
        problems: Why there is no such thing at hand.
    """

    page: EntryPage
    fixes: tuple[FixStep, ...]
    likely: tuple[tuple[str, str], ...]
    item: ItemLine | None
    key: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Turn:
    """One revision: who, when, why, and the lines that it changed, marked by a word."""

    number: int
    when: str
    by: str
    why: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Mend:
    """What lint found: on which line, what stands there, and how it's mended."""

    line: int
    stands: str
    message: str


@dataclass(frozen=True)
class EditPage:
    """An entry's text in the making.

    Attributes:
        title: What is edited.
        action: Where it's sent.
        text: The Markdown.
        back: Where one gets without keeping it.
        slug: The entry that is edited; empty for a new one.
        seen: The version that was looked at; empty for a new one.
        revision: The revision that was looked at; 0 for a new one.
        note: Why it was changed.
        fault: The number of the fault that is written down; empty for none.
        words: The search that is answered; empty for none.
        near: Entries that tell of that fault already.
        mends: What lint found, by line.
        problems: Why it could not be kept.
        meanwhile: What others changed since that revision, the newest first.
        entry: The entry as it would read; None where it can't be read.
    """

    title: str
    action: str
    text: str
    back: str
    slug: str = ""
    seen: str = ""
    revision: int = 0
    note: str = ""
    fault: str = ""
    words: str = ""
    near: tuple[EntryLine, ...] = ()
    mends: tuple[Mend, ...] = ()
    problems: tuple[Problem, ...] = ()
    meanwhile: tuple[Turn, ...] = ()
    entry: Entry | None = None


@dataclass(frozen=True)
class RevisionsPage:
    """What became of an entry's text, the newest revision first."""

    line: EntryLine
    turns: tuple[Turn, ...]
