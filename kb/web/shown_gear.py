"""What the templates of the gear's pages are handed."""

from dataclasses import dataclass
from datetime import datetime

from kb.errors import Problem
from kb.gear.pages import ItemPage
from kb.gear.paths import LinkLine
from kb.gear.views import ItemLine, ModelLine, PlaceLine


@dataclass(frozen=True)
class ChangeLine:
    """One change of a record.

    Attributes:
        at: When.
        who: By whom.
        device: From where.
        fields: What changed, from what, to what.
    """

    at: datetime
    who: str
    device: str
    fields: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class HistoryPage:
    """Every change of a record, newest first."""

    name: str
    address: str
    changes: tuple[ChangeLine, ...]


@dataclass(frozen=True)
class LabelPage:
    """The code on a thing's label.

    Attributes:
        item: The thing.
        address: What the code stands after in the label's address.
        stocks: What it can be printed on.
        stock: What it's printed on where nothing else is chosen.
    """

    item: ItemPage
    address: str
    stocks: tuple[str, ...]
    stock: str


@dataclass(frozen=True)
class MergePage:
    """Two records that may be one thing.

    Attributes:
        item: The record that goes.
        other: The one that stays; None while none was named, or none is known.
        into: What was typed to name it.
        problems: Why they can't be made one.
    """

    item: ItemPage
    other: ItemPage | None
    into: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class ModelPage:
    """A model and what there is of it.

    Attributes:
        model: The model.
        address: Where its page is.
        items: Those in use, as far as they're shown.
    """

    model: ModelLine
    address: str
    items: tuple[ItemLine, ...]


@dataclass(frozen=True)
class ModelMergePage:
    """Two models that may be one.

    Attributes:
        model: The one that goes.
        other: The one that stays; None while none was named, or none is known.
        address: Where the first one's page is.
        into: What was typed to name the other.
        others: The names that can be chosen.
        problems: Why they can't be made one.
    """

    model: ModelLine
    other: ModelLine | None
    address: str
    into: str
    others: tuple[str, ...]
    problems: tuple[Problem, ...]

    @property
    def data(self) -> tuple[str, ...]:
        """The names of the technical data that one of them has."""
        both = {**self.model.technical, **(self.other.technical if self.other else {})}
        return tuple(both)


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
    """A place and what lies there.

    Attributes:
        place: The place.
        within: The places right in it.
        items: What lies there or in those, the first ones by name.
        count: How many there are in all.
    """

    place: PlaceLine
    within: tuple[PlaceLine, ...]
    items: tuple[ItemLine, ...]
    count: int


@dataclass(frozen=True)
class LinkPage:
    """What joins two ports."""

    link: LinkLine
