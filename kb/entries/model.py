"""An entry of the troubleshooting base: frozen records that hold tidy one-line texts.

Every text is folded to one line when a record is made. Texts that are read (titles of fixes,
cautions, steps, what to see, when to stop, the paragraphs about it) are inline Markdown.
"""

from dataclasses import dataclass
from typing import Any

from kb.entries import wording
from kb.entries.words import Area, Chance, Disruption, Likely

WORST_FACTOR = 1.5

Chances = tuple[tuple[str, Chance], ...]


def _fold(record: Any, *names: str) -> None:  # noqa: ANN401 - any record of this module
    """Fold the named texts of a record that is being made."""
    for name in names:
        object.__setattr__(record, name, wording.tidy(getattr(record, name)))


def _fold_chances(chances: Chances) -> Chances:
    """Return the pairs with the names of the causes folded."""
    return tuple((wording.tidy(cause), chance) for cause, chance in chances)


def _worst(takes_s: int, at_worst_s: int | None) -> float:
    return takes_s * WORST_FACTOR if at_worst_s is None else float(at_worst_s)


@dataclass(frozen=True, slots=True)
class Section:
    """What is read under one heading, in this order.

    Attributes:
        cautions: What can hurt somebody or a recording.
        steps: One action each; of the work for afterwards, its points.
        see: How to know that it worked; empty where nothing is said.
        stop: When to swap or call somebody; empty where nothing is said.
    """

    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    see: str = ""
    stop: str = ""

    def __post_init__(self) -> None:
        """Fold every text."""
        _fold(self, "see", "stop")
        object.__setattr__(self, "cautions", tuple(map(wording.tidy, self.cautions)))
        object.__setattr__(self, "steps", tuple(map(wording.tidy_inline, self.steps)))

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return not (self.cautions or self.steps or self.see or self.stop)


@dataclass(frozen=True, slots=True)
class Cause:
    """What may lie behind the symptoms."""

    name: str
    likely: Likely

    def __post_init__(self) -> None:
        """Fold the name."""
        _fold(self, "name")


@dataclass(frozen=True, slots=True)
class Check:
    """A look that tells causes apart: a question with yes or no for an answer.

    Attributes:
        key: Its name within the entry.
        ask: The question.
        takes_s: How long it takes, in seconds.
        yes_if: How often the answer is yes under a cause; a cause left out counts as half.
    """

    key: str
    ask: str
    takes_s: int
    yes_if: Chances = ()

    def __post_init__(self) -> None:
        """Fold the texts."""
        _fold(self, "ask")
        object.__setattr__(self, "yes_if", _fold_chances(self.yes_if))


@dataclass(frozen=True, slots=True)
class Fix:
    """A procedure that may cure.

    Attributes:
        key: Its name within the entry; evidence hangs on it.
        title: Its heading.
        takes_s: How long it takes, in seconds.
        at_worst_s: How long it may take; None where the usual factor holds.
        disruption: What it interrupts.
        cures: How often it cures a cause; a cause left out is not cured by it.
        after: Keys of the fixes that must come before it.
        section: Its steps.
    """

    key: str
    title: str
    takes_s: int
    at_worst_s: int | None = None
    disruption: Disruption = Disruption.NONE
    cures: Chances = ()
    after: tuple[str, ...] = ()
    section: Section = Section()

    def __post_init__(self) -> None:
        """Fold the texts."""
        _fold(self, "title")
        object.__setattr__(self, "cures", _fold_chances(self.cures))

    @property
    def worst_s(self) -> float:
        """How long it may take, in seconds: as told, else one and a half times the usual."""
        return _worst(self.takes_s, self.at_worst_s)

    @property
    def is_own_cause(self) -> bool:
        """Whether it names no cause, and so stands for a cause of its own."""
        return not self.cures


@dataclass(frozen=True, slots=True)
class Swap:
    """Put a spare in the place of the thing.

    Attributes:
        title: Its heading.
        takes_s: How long it takes, in seconds.
        at_worst_s: How long it may take; None where the usual factor holds.
        cures: How often it cures a cause.
        section: Its steps.
    """

    title: str
    takes_s: int
    at_worst_s: int | None = None
    cures: Chances = ()
    section: Section = Section()

    def __post_init__(self) -> None:
        """Fold the texts."""
        _fold(self, "title")
        object.__setattr__(self, "cures", _fold_chances(self.cures))

    @property
    def worst_s(self) -> float:
        """How long it may take, in seconds: as told, else one and a half times the usual."""
        return _worst(self.takes_s, self.at_worst_s)


@dataclass(frozen=True, slots=True)
class Entry:
    """A page of the troubleshooting base.

    Attributes:
        slug: Its name in addresses and file names, never reused.
        title: Its heading.
        area: The part of the studio it is sorted under.
        classes: The equipment classes it speaks of.
        symptoms: What people say who see it, a line each.
        causes: What may lie behind it.
        checks: Looks that tell the causes apart.
        fixes: Procedures, harmless and quick first.
        swap: How to put a spare in; None where that makes no sense.
        confused_with: Slugs of entries that look alike.
        sources: Where its facts come from.
        about: Paragraphs that say what it is about.
        first_acts: Danger to people or recordings; empty where there is none.
        afterwards: Work for after the show; empty where there is none.
    """

    slug: str
    title: str
    area: Area
    classes: tuple[str, ...]
    symptoms: tuple[str, ...]
    causes: tuple[Cause, ...]
    checks: tuple[Check, ...]
    fixes: tuple[Fix, ...]
    swap: Swap | None = None
    confused_with: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    first_acts: Section = Section()
    afterwards: Section = Section()

    def __post_init__(self) -> None:
        """Fold the texts."""
        _fold(self, "title")
        object.__setattr__(self, "symptoms", tuple(map(wording.tidy, self.symptoms)))
        object.__setattr__(self, "sources", tuple(map(wording.tidy, self.sources)))
        object.__setattr__(self, "about", tuple(map(wording.tidy_inline, self.about)))

    @property
    def cause_names(self) -> tuple[str, ...]:
        """The names of the causes, in order."""
        return tuple(cause.name for cause in self.causes)
