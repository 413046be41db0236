"""What joins what: list, connect, disconnect, swap a lead, mend a slip."""

from datetime import datetime
from functools import partial
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb import checking
from kb.errors import KitloreError
from kb.gear import links, paths
from kb.gear.paths import LinkLine
from kb.records.workspace import Workspace
from kb.web import failures, forms, link_forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, ListPage
from kb.web.shown_gear import LinkPage

router = APIRouter(include_in_schema=False)
PAGE = 50
_TIMES = ("since", "until")


@router.get("/links")
def joined(request: Request, session: Reading, item: str = "", offset: int = 0) -> Response:
    """List what is joined now, of one thing or of all."""
    start = max(0, min(offset, 10_000_000))
    try:
        found, count = _found(session, item, start)
    except KitloreError as error:
        page = _list(item, (), problems=failures.problems_of(error))
        return forms.listed(request, page, failures.status_of(error))
    page = _list(
        item,
        found[:PAGE],
        before=_page(item, start - PAGE) if start else "",
        after=_page(item, start + PAGE) if start + PAGE < count else "",
        count=count,
    )
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
def swap(request: Request, old: str = "", new: str = "") -> Response:
    """Show the form that swaps one lead for another, whatever it joins."""
    return forms.shown(request, link_forms.swap(old, new))


@router.post("/links/swap")
def swapped(request: Request, form: Form, now: Now) -> Response:
    """Swap one lead for another."""
    old, into = form.get("old", ""), form.get("new", "")
    act = partial(links.replace_cable, old=old, new=into, at=now)
    return forms.done(request, now, form, link_forms.swap("", ""), act, _opened)


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

    def act(unit: Any) -> None:  # noqa: ANN401 - a unit of work
        links.change_link(unit, number, _typed(form, place, now), forms.seen(form))

    page = link_forms.change(paths.link_by(session, number), place)
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


def _typed(form: dict[str, str], place: Workspace, now: datetime) -> dict[str, Any]:
    """Return what was typed, its times parsed in the workspace's zone."""
    values: dict[str, Any] = forms.values(form, link_forms.NAMES)
    for name in _TIMES:
        typed = form.get(name, "").strip()
        values[name] = checking.moment(typed, place.settings.timezone, now) if typed else None
    return values


def _found(session: Session, item: str, start: int) -> tuple[tuple[LinkLine, ...], int]:
    """Return the links wanted, from one on, and how many there are in all."""
    if item:
        found = paths.links_of(session, item)
        return found[start:], len(found)
    return paths.links_now(session, PAGE, start), paths.count_now(session)


def _list(item: str, found: tuple[LinkLine, ...], **more: Any) -> ListPage:  # noqa: ANN401 - fields
    return ListPage(
        title=f"What is joined to {item}" if item else "What is joined",
        columns=("Link", "From", "Lead", "To", "Swap"),
        rows=tuple(_row(line) for line in found),
        empty="Nothing is joined.",
        filters=(Field("item", "Of one thing: its code or name", item),),
        action="/links",
        ways=(
            ("Swap a lead", "/links/swap"),
            ("Join two ports", "/links/new"),
            *((("All links", "/links"),) if item else ()),
            ("Gear", "/gear"),
        ),
        **more,
    )


def _page(item: str, offset: int) -> str:
    kept = {"item": item} if item else {}
    return "/links?" + urlencode(kept | {"offset": max(0, offset)})


def _row(line: LinkLine) -> tuple[Cell, ...]:
    there = f"/links/{line.number}"
    return (
        Cell(f"link {line.number}", there),
        Cell(f"{line.from_item} {line.from_port}", f"/{line.from_code}"),
        Cell(line.cable or "jumper", f"/{line.cable_code}" if line.cable_code else ""),
        Cell(f"{line.to_item} {line.to_port}", f"/{line.to_code}"),
        Cell("swap the lead", f"{there}/replace"),
    )
