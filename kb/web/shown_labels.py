"""What the templates of the label pages are handed."""

from dataclasses import dataclass

from kb.errors import Problem
from kb.gear.pages import ItemPage
from kb.web.printing import Asked


@dataclass(frozen=True)
class LabelPage:
    """A thing's label.

    Attributes:
        item: The thing.
        address: What the code stands after in the label's address.
        stocks: What it can be printed on.
        stock: What it's printed on where nothing else is chosen.
        printers: Those whose offsets are kept.
        ends: How many labels it has.
        notes: What whoever prints should know.
    """

    item: ItemPage
    address: str
    stocks: tuple[str, ...]
    stock: str
    printers: tuple[str, ...]
    ends: int
    notes: tuple[str, ...]


@dataclass(frozen=True)
class SheetPage:
    """Many labels, as they would be printed.

    Attributes:
        asked: What was asked for.
        which: What can be.
        stocks: What they can be printed on.
        printers: Those whose offsets are kept.
        unused: How many codes are reserved and on nothing yet.
        query: The same as an address asks for it.
        notes: What whoever prints should know.
        count: How many labels there are.
        problems: What is wrong with what was asked for.
    """

    asked: Asked
    which: tuple[str, ...]
    stocks: tuple[str, ...]
    printers: tuple[str, ...]
    unused: int
    query: str
    notes: tuple[str, ...]
    count: int = 0
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class UnusedPage:
    """A code that is on no thing yet.

    Attributes:
        code: The one that was scanned.
        reserved: Whether this base drew it.
        models: Models to suggest.
        places: Places to suggest.
        kinds: Kinds of places.
    """

    code: str
    reserved: bool
    models: tuple[str, ...]
    places: tuple[str, ...]
    kinds: tuple[str, ...]
