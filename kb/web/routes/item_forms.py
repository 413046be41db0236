"""What is done with a thing: add, change, move, lend, swap, merge, retire; its history."""

from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import items, loans, lookup, swapping, views
from kb.gear import pages as gear_pages
from kb.gear.pages import ItemPage
from kb.records import journal
from kb.records.kinds import ItemState
from kb.web import forms, pages
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Field, FormPage
from kb.web.shown_gear import HistoryPage

router = APIRouter(include_in_schema=False)
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
_NAMES = tuple(name for name, *_rest in _FIELDS)


@router.get("/gear/new")
def new(request: Request) -> Response:
    """Show the form for a new thing."""
    return forms.shown(request, _new())


@router.post("/gear/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Add a thing and open its page; the code for its label is drawn."""
    act = partial(items.add_item, values=forms.values(form, _NAMES), at=now)
    return forms.done(request, now, form, _new(), act, lambda code: f"/{code}")


@router.get("/{code}/change")
def change(request: Request, code: str, session: Reading) -> Response:
    """Show the form that changes a thing."""
    return forms.shown(request, _change(gear_pages.item_page(session, code)))


@router.post("/{code}/change")
def changed(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Change a thing."""
    page = _change(gear_pages.item_page(session, code))
    values = forms.values(form, _NAMES)
    act = partial(items.change_item, typed=code, values=values, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/move")
def move(request: Request, code: str, session: Reading) -> Response:
    """Show the form that moves a thing."""
    return forms.shown(request, _move(session, gear_pages.item_page(session, code)))


@router.post("/{code}/move")
def moved(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Put a thing somewhere."""
    page = _move(session, gear_pages.item_page(session, code))
    act = partial(
        items.move_item,
        typed=code,
        place=form.get("place", ""),
        at=now,
        reason=form.get("reason") or None,
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/state")
def state(request: Request, code: str, session: Reading) -> Response:
    """Show the form that says whether a thing may be used."""
    return forms.shown(request, _state(gear_pages.item_page(session, code)))


@router.post("/{code}/state")
def stated(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Say whether a thing may be used."""
    page = _state(gear_pages.item_page(session, code))
    act = partial(
        items.set_state,
        typed=code,
        state=form.get("state", ""),
        at=now,
        reason=form.get("reason") or None,
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/lend")
def lend(request: Request, code: str, session: Reading) -> Response:
    """Show the form that lends a thing, or takes it back."""
    return forms.shown(request, _lend(gear_pages.item_page(session, code)))


@router.post("/{code}/lend")
def lent(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Lend a thing."""
    page = _lend(gear_pages.item_page(session, code))
    values = forms.values(form, ("borrower", "due", "note"))
    act = partial(loans.lend, typed=code, values=values, at=now)
    return forms.done(request, now, form, page, act, f"/{code}")


@router.post("/{code}/back")
def back(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Take a thing back."""
    page = _lend(gear_pages.item_page(session, code))
    act = partial(loans.take_back, typed=code, at=now)
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/swap")
def swap(request: Request, code: str, session: Reading, spare: str = "") -> Response:
    """Show the form that puts a spare in the place of a thing."""
    return forms.shown(request, _swap(gear_pages.item_page(session, code), spare))


@router.post("/{code}/swap")
def swapped(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Put a spare in the place of a thing, and open the spare's page."""
    page = _swap(gear_pages.item_page(session, code), form.get("spare", ""))
    act = partial(
        swapping.swap_item,
        typed=code,
        spare=form.get("spare", ""),
        at=now,
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/merge")
def merge(request: Request, code: str, session: Reading, into: str = "") -> Response:
    """Show the form that says that two records are one thing."""
    return forms.shown(request, _merge(session, gear_pages.item_page(session, code), into))


@router.post("/{code}/merge")
def merged(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Say that two records are one thing."""
    page = _merge(session, gear_pages.item_page(session, code), form.get("into", ""))
    act = partial(items.merge_item, typed=code, into=form.get("into", ""), at=now)
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/history")
def history(request: Request, code: str, session: Reading) -> Response:
    """Show every change of a thing's record."""
    item = lookup.item(session, code)
    steps = journal.readable(session, journal.steps(session, "item", item.key))
    page = HistoryPage(item.name, f"/{item.code}", tuple(reversed(steps)))
    return pages.show(request, "history.html", page)


def _new() -> FormPage:
    fields = tuple(Field(name, label, "", kind, hint) for name, label, kind, hint in _FIELDS)
    return FormPage("Add a thing", "/gear/new", "Add it", fields, back="/gear")


def _change(page: ItemPage) -> FormPage:
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
        Field(name, label, stands.get(name, str(getattr(page, name, None) or "")), kind, hint)
        for name, label, kind, hint in _FIELDS
    )
    return _of(page, f"Change {line.name}", "change", "Change it", fields)


def _move(session: Session, page: ItemPage) -> FormPage:
    places = tuple(one.path for one in views.place_lines(session))
    fields = (
        Field("place", "Where to", page.line.place, "choice", "", places),
        Field("reason", "Why"),
    )
    return _of(page, f"Move {page.line.name}", "move", "Put it there", fields)


def _state(page: ItemPage) -> FormPage:
    fields = (
        Field("state", "It is", page.line.state, "choice", "", tuple(ItemState)),
        Field("reason", "Why", hint="Needed for what is set aside or retired."),
    )
    note = "What is retired keeps its history; its links end and its name becomes free."
    return _of(page, f"May {page.line.name} be used?", "state", "Say so", fields, note)


def _lend(page: ItemPage) -> FormPage:
    name = page.line.name
    if page.loan is not None:
        note = f"It's with {page.loan.borrower}."
        return _of(page, f"Take {name} back", "back", "It's back", (), note)
    fields = (
        Field("borrower", "To whom"),
        Field("due", "Back by", kind="date"),
        Field("note", "Note", kind="words"),
    )
    return _of(page, f"Lend {name}", "lend", "Lend it", fields)


def _swap(page: ItemPage, spare: str) -> FormPage:
    ready = tuple(f"{one.name}" for one in page.spares)
    hint = f"Ready of its kind: {', '.join(ready) or 'none'}."
    fields = (Field("spare", "What comes in", spare or (ready[0] if ready else ""), hint=hint),)
    note = "The spare takes over its place and its links; it lies where the spare lay."
    return _of(page, f"Swap {page.line.name}", "swap", "Swap them", fields, note)


def _merge(session: Session, page: ItemPage, into: str) -> FormPage:
    note = f"Everything of {page.line.name} moves over; both codes lead to the one that stays."
    if into:
        other = gear_pages.item_page(session, into)
        note += f" {_told(page)} Into: {_told(other)}"
    fields = (Field("into", "The one that stays", into, hint="Its code or name."),)
    title = f"Is {page.line.name} the same as another record?"
    return _of(page, title, "merge", "They are one", fields, note)


def _told(page: ItemPage) -> str:
    line = page.line
    told = (line.name, line.code, line.model, page.serial, line.place, line.state)
    return ", ".join(filter(None, told)) + "."


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
