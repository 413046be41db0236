"""What the templates are handed: one frozen dataclass a page."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import ClassVar

from kb.entries.library import EntryLine, EntryPage
from kb.entries.model import Section
from kb.errors import Problem
from kb.faults.cures import CureLine
from kb.faults.frequent import FrequentLine
from kb.faults.photos import PhotoLine
from kb.faults.views import FaultLine, FaultPage
from kb.gear.chains import Chains
from kb.gear.pages import ItemPage
from kb.gear.shows import ShowLine
from kb.gear.views import ItemLine
from kb.records.kinds import FaultState, Outcome
from kb.search import narrowing
from kb.search.asking import Correction
from kb.search.listing import Hit
from kb.search.narrowing import Option, Question
from kb.web import asking
from kb.web.asking import Asked

_KINDS = (("entry", "entries"), ("item", "things"), ("fault", "past faults"))


@dataclass(frozen=True)
class ErrorPage:
    """An error.

    Attributes:
        title: What kind of trouble it is.
        problems: Each with its field, if it has one, and its sentence.
    """

    title: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Air:
    """How near the air time is.

    Attributes:
        show: What is on air, or the next to be.
        minutes: Minutes till then; None while it's on air.
    """

    show: ShowLine
    minutes: int | None


@dataclass(frozen=True)
class SearchPage:
    """What was found, or what is frequent where nothing was typed.

    Attributes:
        asked: What was typed, the thing at hand, the room, what was answered since.
        named: The thing whose name or code was typed; None where other words were.
        hits: What was found: entries, items, faults.
        confident: Whether an entry listed is likely to be the answer.
        corrections: What was read as something else than was typed.
        question: What would tell the entries apart; None where it's clear.
        recent: The newest faults; told where nothing was typed.
        frequent: Entries that were needed often lately.
        air: What is on air or will be within half a day; None without that.
        now: The time now, for evidence that is still young.
    """

    asked: Asked
    named: ItemLine | None
    hits: tuple[Hit, ...]
    confident: bool
    corrections: tuple[Correction, ...]
    question: Question | None
    recent: tuple[FaultLine, ...]
    frequent: tuple[FrequentLine, ...]
    air: Air | None
    now: datetime

    @property
    def query(self) -> str:
        """What was typed."""
        return self.asked.q

    @property
    def item(self) -> str:
        """The code or name of the thing at hand."""
        return self.asked.item

    @property
    def place(self) -> str:
        """The room that recent and frequent faults are told of; empty for all."""
        return self.asked.place

    @property
    def answers(self) -> tuple[tuple[str, str], ...]:
        """What was answered, each with the address that takes it back."""
        return tuple(
            (text, asking.address(replace(self.asked, told=before)))
            for text, before in narrowing.given(self.asked.told)
        )

    @property
    def told(self) -> str:
        """What was found, in one line."""
        counts = [(len(self.of(kind)), word) for kind, word in _KINDS]
        return ", ".join(f"{count} {word}" for count, word in counts if count) or "nothing found"

    def with_item(self, item: str) -> str:
        """Return the address of the same search with another thing at hand, or none."""
        return asking.address(replace(self.asked, item=item))

    @property
    def literal(self) -> str:
        """The address of the same search with every word read as it stands."""
        typed = (*self.asked.as_typed, *(one.typed for one in self.corrections))
        return asking.address(replace(self.asked, as_typed=typed))

    def after(self, option: Option) -> str:
        """Return the address of the same search after an answer."""
        return asking.address(replace(self.asked, told=option.told))

    def of(self, kind: str) -> tuple[Hit, ...]:
        """Return the hits of a kind."""
        return tuple(hit for hit in self.hits if hit.kind == kind)


@dataclass(frozen=True)
class ItemView:
    """A thing: what it is, what is wrong with it, what worked, and what hangs on it.

    Attributes:
        item: The thing itself.
        faults: Its open faults, then those that are watched.
        open_more: Whether more are open than are shown.
        past: Faults that were, newest first.
        cures: Fixes that worked on it or on its model.
        up: What feeds it, the shortest chain first.
        down: What it feeds, the shortest chain first.
    """

    item: ItemPage
    faults: tuple[FaultLine, ...]
    open_more: bool
    past: tuple[FaultLine, ...]
    cures: tuple[CureLine, ...]
    up: Chains
    down: Chains
    NEAREST: ClassVar[int] = 5
    MOST: ClassVar[int] = 25


@dataclass(frozen=True)
class FixStep:
    """A fix as it's offered on a fault.

    Attributes:
        key: Its key.
        title: Its heading.
        price: How long it takes and what it interrupts, in words.
        evidence: What is known of it here, in words.
        section: Cautions, steps, what to see, when to stop.
        done: How it ended here, where it was tried already; empty otherwise.
    """

    key: str
    title: str
    price: str
    evidence: str
    section: Section
    done: str

    @property
    def failed(self) -> bool:
        """Whether it was tried here and did not work."""
        return self.done == Outcome.DID_NOT_WORK


@dataclass(frozen=True)
class FaultView:
    """A fault: what was reported and tried, what to try next, how it's closed.

    Attributes:
        fault: The fault.
        entry: The entry that is followed; None while none was chosen.
        fixes: Its fixes in order, the swap last.
        fitting: Other entries that fit the words.
        air: What is on air or will be within half a day; None without that.
        spares: What could be put in the place of the thing, the nearest first.
        kinds: Kinds of cause.
        likely: The kind that such faults had most often; empty where none was closed yet.
        written: Entries that were written down from it.
        photos: Its pictures.
        effects: What it may have done to the show; asked while it's open and nobody said.
        leads: Who can be called, where nothing helped and air is near.
        stands: What `/faults/N/version` answers as long as nothing changes.
        typed: What was typed before, after a mistake.
        problems: What was wrong with that.
    """

    fault: FaultPage
    entry: EntryPage | None
    fixes: tuple[FixStep, ...]
    fitting: tuple[Hit, ...]
    air: Air | None
    spares: tuple[ItemLine, ...]
    kinds: tuple[str, ...]
    likely: str
    written: tuple[EntryLine, ...]
    photos: tuple[PhotoLine, ...]
    effects: tuple[str, ...]
    leads: tuple[str, ...]
    stands: str
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    CLOSE_MINUTES: ClassVar[int] = 60  # common practice, no source

    @property
    def is_at_an_end(self) -> bool:
        """Whether every fix of the entry was tried, and none helped."""
        is_open = self.fault.line.state is FaultState.OPEN
        return is_open and bool(self.fixes) and all(one.failed for one in self.fixes)

    @property
    def is_close(self) -> bool:
        """Whether it's on air, or will be so soon that trying on costs too much."""
        return self.air is not None and (self.air.minutes or 0) <= self.CLOSE_MINUTES


@dataclass(frozen=True)
class ScreenPage:
    """Who can sit at this screen, and the rooms that it may stand in."""

    names: tuple[str, ...]
    rooms: tuple[str, ...]


@dataclass(frozen=True)
class StepPage:
    """One step of a fix, on a page of its own.

    Attributes:
        fault: The fault's number.
        air: What is on air or will be within half a day; None without that.
        entry: The entry's slug.
        first: What comes before everything; empty where nothing does.
        fix: The fix.
        step: Which step, from 1.
        last: How many there are.
    """

    fault: int
    air: Air | None
    entry: str
    first: Section
    fix: FixStep
    step: int
    last: int
