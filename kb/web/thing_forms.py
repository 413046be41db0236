"""The forms in which something is done with a thing."""

from collections.abc import Mapping, Sequence

from kb.gear.pages import ItemPage
from kb.records.kinds import ItemState
from kb.web.forms import Field, FormPage

_FIELDS = (
    ("name", "Name", "text", "What the crew calls it, unique among what is in use."),
    ("model", "Model", "text", "Maker and name, as under Models."),
    ("place", "Place", "text", "A name or a path like Rack room/R1."),
    ("batch", "Batch", "text", "What was bought together."),
    ("serial", "Serial number", "text", ""),
    ("in_service", "In service since", "date", "The review counts from here."),
    ("bought", "Bought on", "date", ""),
    ("price", "Price", "text", "Like 980 or 12.50."),
    ("supplier", "Supplier", "text", ""),
    ("warranty_until", "Warranty until", "date", ""),
    ("note", "Note", "words", ""),
)
NAMES = tuple(name for name, *_rest in _FIELDS)


def new(
    given: Mapping[str, str],
    models: tuple[str, ...] = (),
    places: tuple[str, ...] = (),
    action: str = "/gear/new",
) -> FormPage:
    """Return the form for a new thing.

    Args:
        given: What is known already, by the field's name.
        models: Models to suggest.
        places: Places to suggest.
        action: Where it's sent.
    """
    near = {"model": models, "place": places}
    fields = tuple(
        Field(name, label, given.get(name, ""), kind, hint, near.get(name, ()))
        for name, label, kind, hint in _FIELDS
    )
    return FormPage("Add a thing", action, "Add it", fields, back="/gear")


def change(page: ItemPage, models: tuple[str, ...] = (), places: tuple[str, ...] = ()) -> FormPage:
    """Return the form that changes a thing, with all that is kept of it.

    Args:
        page: The thing.
        models: Models to suggest.
        places: Places to suggest.
    """
    near = {"model": models, "place": places}
    line = page.line
    price = "" if page.price_minor is None else f"{page.price_minor / 100:.2f}"
    stands = {
        "name": line.name,
        "model": line.model or "",
        "place": line.place,
        "batch": line.batch or "",
        "price": price,
    }
    fields = tuple(
        Field(
            name,
            label,
            stands.get(name, str(getattr(page, name, None) or "")),
            kind,
            hint,
            near.get(name, ()),
        )
        for name, label, kind, hint in _FIELDS
    )
    return _of(page, f"Change {line.name}", "change", "Change it", fields)


def move(page: ItemPage, places: Sequence[str]) -> FormPage:
    """Return the form that moves a thing to one of the places."""
    fields = (
        Field("place", "Where to", page.line.place, "choice", "", tuple(places)),
        Field("reason", "Why"),
    )
    return _of(page, f"Move {page.line.name}", "move", "Put it there", fields)


def state(page: ItemPage) -> FormPage:
    """Return the form that says whether a thing may be used."""
    fields = (
        Field("state", "It is", page.line.state, "choice", "", tuple(ItemState)),
        Field("reason", "Why", hint="Needed for what is set aside or retired."),
    )
    note = "What is retired keeps its history; its links end and its name becomes free."
    return _of(page, f"May {page.line.name} be used?", "state", "Say so", fields, note)


def lend(page: ItemPage, borrowers: tuple[str, ...]) -> FormPage:
    """Return the form that lends a thing, to somebody who borrowed before or not."""
    fields = (
        Field("borrower", "To whom", options=borrowers),
        Field("due", "Back by", kind="date"),
        Field("note", "Note", kind="words"),
    )
    return _of(page, f"Lend {page.line.name}", "lend", "Lend it", fields)


def back(page: ItemPage) -> FormPage:
    """Return the form that takes a thing back; the version seen is the loan's."""
    there = f"/{page.line.code}"
    seen = Field("seen", value=str(page.loan.version) if page.loan else "", kind="hidden")
    note = f"It's with {page.loan.borrower}." if page.loan else "It's here."
    title = f"Take {page.line.name} back"
    return FormPage(title, f"{there}/back", "It's back", (seen,), note, back=there)


def swap(page: ItemPage, spare: str, places: Sequence[str]) -> FormPage:
    """Return the form that puts a spare in the place of a thing."""
    ready = tuple(one.name for one in page.spares)
    hint = f"Ready of its kind: {', '.join(ready) or 'none'}."
    lying = ("", *places)
    fields = (
        Field("spare", "What comes in", spare or next(iter(ready), ""), hint=hint, options=ready),
        Field("lying", f"Where {page.line.name} goes", "", "choice", _WHERE, lying),
    )
    note = "The spare takes over its place and its links, in one act."
    return _of(page, f"Swap {page.line.name}", "swap", "Swap them", fields, note)


_WHERE = "Not said: where the spare lay."


def _of(
    page: ItemPage,
    title: str,
    way: str,
    press: str,
    fields: tuple[Field, ...],
    note: str = "",
) -> FormPage:
    there = f"/{page.line.code}"
    seen = Field("seen", value=str(page.version), kind="hidden")
    return FormPage(title, f"{there}/{way}", press, (seen, *fields), note, back=there)
