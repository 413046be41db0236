"""What the templates of the gear's pages are handed."""

from dataclasses import dataclass

from kb.gear.paths import LinkLine
from kb.gear.views import ItemLine, PlaceLine
from kb.records.journal import Step


@dataclass(frozen=True)
class HistoryPage:
    """Every change of a record, newest first."""

    name: str
    address: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Branch:
    """A place of the tree, with what lies below it."""

    place: PlaceLine
    below: tuple["Branch", ...]


@dataclass(frozen=True)
class PlacesPage:
    """The tree of places."""

    roots: tuple[Branch, ...]


@dataclass(frozen=True)
class PlacePage:
    """A place and what lies there."""

    place: PlaceLine
    items: tuple[ItemLine, ...]


@dataclass(frozen=True)
class LinkPage:
    """What joins two ports."""

    link: LinkLine
