"""What is done with a thing: change, move, lend, swap, merge, retire; its history."""

from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.errors import KitloreError
from kb.gear import items, loans, lookup, swapping, views
from kb.gear import pages as gear_pages
from kb.gear.pages import ItemPage
from kb.records import journal, naming
from kb.records import session as units
from kb.web import depends, failures, forms, pages, thing_forms
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import FormPage
from kb.web.routes import unused
from kb.web.shown_gear import ChangeLine, HistoryPage, MergePage

router = APIRouter(include_in_schema=False)


@router.get("/{code}/change")
def change(request: Request, code: str, session: Reading) -> Response:
    """Show the form that changes a thing."""
    return forms.shown(request, _change(session, code))


@router.post("/{code}/change")
def changed(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Change a thing."""
    page = _change(session, code)
    values = forms.values(form, thing_forms.NAMES)
    act = partial(items.change_item, typed=code, values=values, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/move")
def move(request: Request, code: str, session: Reading) -> Response:
    """Show the form that moves a thing."""
    return forms.shown(request, _move(session, code))


@router.post("/{code}/move")
def moved(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Put a thing somewhere."""
    page = _move(session, code)
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
    return forms.shown(request, thing_forms.state(gear_pages.item_page(session, code)))


@router.post("/{code}/state")
def stated(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Say whether a thing may be used."""
    page = thing_forms.state(gear_pages.item_page(session, code))
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
    """Show the form that lends a thing, or takes back what is away."""
    page = gear_pages.item_page(session, code)
    return forms.shown(request, _lending(session, page))


@router.post("/{code}/lend")
def lent(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Lend a thing."""
    page = thing_forms.lend(gear_pages.item_page(session, code), loans.borrowers(session))
    values = forms.values(form, ("borrower", "due", "note"))
    act = partial(loans.lend, typed=code, values=values, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, f"/{code}")


@router.post("/{code}/back")
def back(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Take a thing back."""
    page = thing_forms.back(gear_pages.item_page(session, code))
    act = partial(loans.take_back, typed=code, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, f"/{code}")


@router.get("/{code}/swap")
def swap(request: Request, code: str, session: Reading, spare: str = "") -> Response:
    """Show the form that puts a spare in the place of a thing."""
    return forms.shown(request, _swap(session, code, spare))


@router.post("/{code}/swap")
def swapped(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Put a spare in the place of a thing, and show the thing where it lies now."""
    act = partial(
        swapping.swap_item,
        typed=code,
        spare=form.get("spare", ""),
        at=now,
        seen=forms.seen(form),
        asked=swapping.Asked(form.get("lying") or None, forms.is_sure(form)),
    )
    return forms.done(request, now, form, _swap(session, code, ""), act, f"/{code}")


@router.get("/{code}/merge")
def merge(request: Request, code: str, session: Reading, into: str = "") -> Response:
    """Ask which record is the same thing, and show both side by side."""
    return _merging(request, session, code, into)


@router.post("/{code}/merge")
def merged(request: Request, code: str, form: Form, now: Now) -> Response:
    """Say that two records are one thing, and open the one that stays."""
    into = form.get("into", "")
    both = (forms.seen(form), forms.seen({"seen": form.get("seen_into", "")}))
    try:
        with depends.writing(request, now) as unit:
            items.merge_item(unit, code, into, now, both)
    except KitloreError as error:
        with units.read(request.app.state.engine) as unit:
            return _merging(request, unit, code, into, error)
    return RedirectResponse(f"/{code}", pages.SEE_OTHER)


@router.get("/{code}/history")
def history(request: Request, code: str, session: Reading, place: Place) -> Response:
    """Show every change of a thing's record, the newest first."""
    item = lookup.item(session, code)
    steps = journal.readable(session, journal.steps(session, "item", item.key))
    told = tuple(
        ChangeLine(one.at, one.who, one.device, naming.words(one.changes, place.settings.timezone))
        for one in reversed(steps)
    )
    return pages.show(request, "history.html", HistoryPage(item.name, f"/{item.code}", told))


def _change(session: Session, code: str) -> FormPage:
    page = gear_pages.item_page(session, code)
    return thing_forms.change(page, *unused.suggestions(session))


def _lending(session: Session, page: ItemPage) -> FormPage:
    """Return the form that lends what is here, or takes back what is away."""
    if page.loan:
        return thing_forms.back(page)
    return thing_forms.lend(page, loans.borrowers(session))


def _move(session: Session, code: str) -> FormPage:
    return thing_forms.move(gear_pages.item_page(session, code), _places(session))


def _swap(session: Session, code: str, spare: str) -> FormPage:
    return thing_forms.swap(gear_pages.item_page(session, code), spare, _places(session))


def _places(session: Session) -> list[str]:
    return [one.path for one in views.place_lines(session)]


def _merging(
    request: Request, session: Session, code: str, into: str, error: KitloreError | None = None
) -> Response:
    """Show the two records, and what is in the way of making them one."""
    other, wrong = None, error
    try:
        other = gear_pages.item_page(session, into) if into.strip() else None
    except KitloreError as unknown:
        wrong = error or unknown
    problems = failures.problems_of(wrong) if wrong else ()
    page = MergePage(gear_pages.item_page(session, code), other, into, problems)
    return pages.show(request, "merge.html", page, failures.status_of(wrong) if wrong else 200)
