"""What joins what: list, connect, disconnect, swap a lead, mend a slip."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb import checking
from kb.errors import KitloreError
from kb.gear import links, paths, views
from kb.gear.paths import LinkLine
from kb.web import failures, forms, link_forms, moments, pages, paging
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, ListPage
from kb.web.paging import Start
from kb.web.routes.items import CABLE
from kb.web.shown_gear import LinkPage

router = APIRouter(include_in_schema=False)
PAGE = 50
# More than that is no help while typing.
_SUGGESTED = 300
_TIMES = ("since", "until")


@router.get("/links")
def joined(
    request: Request,
    session: Reading,
    place: Place,
    now: Now,
    item: str = "",
    at: str = "",
    start: Start = 0,
) -> Response:
    """List what is joined now, or was at a time; of one thing or of all."""
    asked = {"item": item, "at": at}
    try:
        when = checking.moment(at, place.settings.timezone, now) if at.strip() else None
        found = paths.link_lines(
            session, when, item=item.strip() or None, limit=PAGE + 1, offset=start
        )
    except KitloreError as error:
        page = _list(asked, (), problems=failures.problems_of(error))
        return forms.listed(request, page, failures.status_of(error))
    before, after = paging.beside("/links", asked, start, PAGE, more=len(found) > PAGE)
    page = _list(asked, found[:PAGE], before=before, after=after)
    return forms.listed(request, page)


@router.get("/links/new")
def new(
    request: Request,
    from_item: str = "",
    from_port: str = "",
    to_item: str = "",
    to_port: str = "",
    cable: str = "",
) -> Response:
    """Show the form that joins two ports."""
    given = {"from_item": from_item, "from_port": from_port, "to_item": to_item}
    return forms.shown(request, link_forms.new(given | {"to_port": to_port, "cable": cable}))


@router.post("/links/new")
def connect(request: Request, form: Form, now: Now) -> Response:
    """Join two ports."""
    act = partial(links.connect, values=forms.values(form, link_forms.NAMES), at=now)
    return forms.done(request, now, form, link_forms.new({}), act, _opened)


@router.get("/links/swap")
def swap(request: Request, session: Reading, old: str = "", new: str = "") -> Response:
    """Show the form that swaps one lead for another, whatever it joins."""
    return forms.shown(request, link_forms.swap(old, new, _leads(session)))


@router.post("/links/swap")
def swapped(request: Request, form: Form, now: Now, session: Reading) -> Response:
    """Swap one lead for another."""
    old, into = form.get("old", ""), form.get("new", "")
    act = partial(links.replace_cable, old=old, new=into, at=now)
    return forms.done(request, now, form, link_forms.swap("", "", _leads(session)), act, _opened)


@router.get("/links/{number}")
def link(request: Request, number: int, session: Reading) -> Response:
    """Show a link."""
    return pages.show(request, "link.html", LinkPage(paths.link_by(session, number)))


@router.get("/links/{number}/change")
def change(request: Request, number: int, session: Reading, place: Place) -> Response:
    """Show the form that mends a slip in a link."""
    return forms.shown(request, link_forms.change(paths.link_by(session, number), place))


@router.post("/links/{number}/change")
def changed(
    request: Request, number: int, form: Form, place: Place, now: Now, session: Reading
) -> Response:
    """Mend a slip in a link."""
    page = link_forms.change(paths.link_by(session, number), place)

    def act(unit: Session) -> None:
        values: dict[str, Any] = forms.values(form, link_forms.NAMES)
        values |= moments.typed(form, page.fields, _TIMES, place, now)
        links.change_link(unit, number, values, forms.seen(form))

    return forms.done(request, now, form, page, act, f"/links/{number}")


@router.get("/links/{number}/disconnect")
def part(request: Request, number: int, session: Reading) -> Response:
    """Show the form that ends a link."""
    return forms.shown(request, link_forms.part(paths.link_by(session, number)))


@router.post("/links/{number}/disconnect")
def parted(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """End a link."""
    page = link_forms.part(paths.link_by(session, number))
    act = partial(links.disconnect, cable_or_link=f"link {number}", at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, f"/links/{number}")


@router.get("/links/{number}/replace")
def replace(request: Request, number: int, session: Reading, new: str = "") -> Response:
    """Show the form that swaps the lead of a link."""
    return forms.shown(request, link_forms.replace(paths.link_by(session, number), new))


@router.post("/links/{number}/replace")
def replaced(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """Swap the lead of a link."""
    page = link_forms.replace(paths.link_by(session, number), "")
    act = partial(
        links.replace_cable,
        old=f"link {number}",
        new=form.get("new", ""),
        at=now,
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, page, act, _opened)


def _opened(made: object) -> str:
    """Return the address of the link of that number."""
    return f"/links/{made}"


def _list(asked: dict[str, str], found: tuple[LinkLine, ...], **more: Any) -> ListPage:  # noqa: ANN401 - its fields
    item = asked["item"]
    what = f"What is joined to {item}" if item else "What is joined"
    return ListPage(
        title=f"{what}, as of {asked['at']}" if asked["at"] else what,
        columns=("Link", "From", "Lead", "To", "Swap"),
        rows=tuple(_row(line) for line in found),
        empty="Nothing is joined.",
        filters=(
            Field("item", "Of one thing: its code or name", item),
            Field("at", "At a time, like 2026-10-31 19:00", asked["at"]),
        ),
        action="/links",
        ways=(
            ("Swap a lead", "/links/swap"),
            ("Join two ports", "/links/new"),
            *((("All links", "/links"),) if item or asked["at"] else ()),
            ("Gear", "/gear"),
        ),
        **more,
    )


def _row(line: LinkLine) -> tuple[Cell, ...]:
    there = f"/links/{line.number}"
    swap = "swap the lead" if line.cable else "put a lead in"
    return (
        Cell(f"link {line.number}", there),
        Cell(f"{line.from_item} {line.from_port}", f"/{line.from_code}"),
        Cell(line.cable or "jumper", f"/{line.cable_code}" if line.cable_code else ""),
        Cell(f"{line.to_item} {line.to_port}", f"/{line.to_code}"),
        Cell("") if line.until else Cell(swap, f"{there}/replace"),
    )


def _leads(session: Session) -> tuple[str, ...]:
    """Return the leads in use to pick from while typing, where they aren't too many."""
    found = views.item_lines(session, {"equipment_class": CABLE}, _SUGGESTED + 1)
    return tuple(one.name for one in found) if len(found) <= _SUGGESTED else ()
