"""What a page asks for when labels are printed: which ones, on what, with what on them."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sqlmodel import Session

from kb.errors import InvalidError, NotFoundError, Problem
from kb.gear import ahead
from kb.labels import cable, choose, font, sheet, shelf, wraps
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.labels.text import LabelText
from kb.labels.wishes import Extras, Wishes
from kb.records import printers, workspace
from kb.records.workspace import Workspace

NAMED, ITEMS, PLACES, UNUSED = "those named", "every thing in use", "every place", "unused codes"
WHICH = (NAMED, ITEMS, PLACES, UNUSED)
# More than one looks at before paper.
_PREVIEWED = 200


@dataclass(frozen=True)
class Asked:
    """What was asked for, as it stands in an address.

    Attributes:
        which: One of `WHICH`.
        names: Codes or names, a line or comma each.
        stock: What they're printed on.
        start: The label of the first sheet to begin at.
        printer: Whose offset counts; empty for none.
        place: Whether labels say where the thing lies.
        inspected: Whether they say when it was inspected.
        boxed: Whether the code stands white on black.
        return_to: To whom it's brought back.
        distance: From how many centimetres it's read; empty for a hand's reach.
        diameter: How thick cables are whose models don't tell.
    """

    which: str = NAMED
    names: str = ""
    stock: str = shelf.DEFAULT
    start: str = "1"
    printer: str = ""
    place: str = ""
    inspected: str = ""
    boxed: str = ""
    return_to: str = ""
    distance: str = ""
    diameter: str = ""

    @classmethod
    def of(cls, given: Mapping[str, str]) -> "Asked":
        """Return what an address asks for; what else stands in it is left out."""
        return cls(**{name: given[name] for name in cls.__dataclass_fields__ if name in given})


def folders(place: Workspace) -> list[Path]:
    """Return where stocks lie: the crew's own before those shipped."""
    return [place.folder / "labels", workspace.starter("labels")]


def stocks(place: Workspace) -> tuple[Stock, ...]:
    """Return every stock on file."""
    return tuple(shelf.find(name, folders(place)) for name in shelf.names(folders(place)))


def known_printers(place: Workspace) -> tuple[str, ...]:
    """Return the printers whose offsets are kept."""
    return tuple(sorted(printers.read(place.settings.printers or "")))


def suited(labels: tuple[LabelText, ...], place: Workspace) -> tuple[str, ...]:
    """Return the names of the stocks that the labels can be printed on."""
    return tuple(one.name for one in stocks(place) if wraps.suits(labels, one))


def labels(session: Session, place: Workspace, asked: Asked) -> tuple[LabelText, ...]:
    """Return the labels asked for.

    Raises:
        InvalidError: A field is wrong, or nothing is named.
        NotFoundError: What is named is unknown, or there is none.
    """
    extras = Extras(
        place=bool(asked.place),
        inspected=place.settings.timezone if asked.inspected else None,
        return_to=" ".join(asked.return_to.split()),
        diameter=_diameter(asked.diameter),
    )
    if asked.which == ITEMS:
        return choose.all_items(session, extras)
    if asked.which == PLACES:
        return choose.all_places(session, extras)
    if asked.which == UNUSED:
        return choose.of_codes(session, ahead.unused(session))
    names = [one.strip() for line in asked.names.splitlines() for one in line.split(",")]
    return choose.named(session, [one for one in names if one], extras)


def laid_out(
    found: tuple[LabelText, ...], place: Workspace, asked: Asked, *, single: bool = False
) -> Sheet:
    """Return the pages of labels.

    Args:
        found: The labels.
        place: The workspace.
        asked: What was asked for.
        single: Whether each label is a page of its own, to be looked at.

    Raises:
        InvalidError: A field is wrong, or a label can't be on this stock.
        NotFoundError: The stock is unknown.
    """
    stock = shelf.find(asked.stock, folders(place))
    wishes = _wishes(place, asked)
    if single:
        stock, wishes = stock.single, Wishes(boxed=wishes.boxed, distance=wishes.distance)
    return sheet.lay_out(found, stock, place.settings.host, font.load(), wishes)


def previewed(found: tuple[LabelText, ...]) -> tuple[LabelText, ...]:
    """Return the labels that are looked at before paper: the first sheets of very many."""
    return found[:_PREVIEWED]


def _wishes(place: Workspace, asked: Asked) -> Wishes:
    far = _number(asked.distance, "distance", "centimetres")
    start = _number(asked.start, "start", "labels")
    right, down = _offset(place, asked.printer)
    return Wishes(
        start=int(start or 1),
        distance=far * 10 if far else None,
        boxed=bool(asked.boxed),
        right=right,
        down=down,
        others=stocks(place),
    )


def _offset(place: Workspace, printer: str) -> printers.Offset:
    known = printers.read(place.settings.printers or "")
    if printer and printer not in known:
        told = f"Known are: {', '.join(sorted(known)) or 'none'}. See 'kitlore stock offset'."
        raise NotFoundError("printer", printer, told)
    return known.get(printer, printers.Offset(0, 0))


def _diameter(typed: str) -> float | None:
    found = cable.measured(typed)
    if typed.strip() and found is None:
        raise InvalidError([Problem("diameter", f"'{typed}' is none. Write it like 6.1.")])
    return found


def _number(typed: str, field: str, of: str) -> float | None:
    if not typed.strip():
        return None
    try:
        return float(typed)
    except ValueError:
        message = f"'{typed}' is no number of {of}."
        raise InvalidError([Problem(field, f"{message} Write it in digits.")]) from None
