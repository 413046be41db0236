"""Who gets in: phones are let in and thrown out, scripts too, and what strangers may do."""

from collections.abc import Callable
from datetime import datetime
from typing import TypeVar
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.crew import admission, feeds, hosts, pairings, people
from kb.crew.hosts import Reach
from kb.errors import KitloreError, Problem
from kb.gear import views
from kb.labels import qr
from kb.records import session as units
from kb.records.kinds import PlaceKind
from kb.web import depends, failures, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.shown_access import AccessPage, OfferPage, ScriptPage

router = APIRouter(include_in_schema=False)
_QUIET = qr.QUIET
_ROOMS = (PlaceKind.SITE, PlaceKind.ROOM)
_HTTP = {"http": 80, "https": 443}
MadeT = TypeVar("MadeT")


@router.get("/access")
def access(request: Request, session: Reading, now: Now) -> Response:
    """Show who is let in."""
    return pages.show(request, "access.html", _page(request, session, now))


@router.post("/access/offer")
def offer(request: Request, form: Form, now: Now, place: Place) -> Response:
    """Offer to let a phone in, and show the symbol that it scans."""
    values = forms.values(form, ("person", "device"))
    done = made(request, now, lambda unit: pairings.offer(unit, values, now))
    if isinstance(done, Response):
        return done
    address = f"{base(request, place.settings.host)}/pair?ticket={done.ticket}"
    page = OfferPage(done.person, _symbol(address), address, done.until)
    return pages.show(request, "offer.html", page)


@router.post("/access/script")
def script(request: Request, form: Form, now: Now) -> Response:
    """Let a script in, and show once what it sends."""
    values = forms.values(form, ("person", "device", "role"))
    done = made(request, now, lambda unit: pairings.add_script(unit, values, now))
    if isinstance(done, Response):
        return done
    page = ScriptPage(values["device"], done.secret, done.expires)
    return pages.show(request, "script.html", page)


@router.post("/access/strangers")
def strangers(request: Request, form: Form, now: Now) -> Response:
    """Say what phones may do that nobody paired."""
    may = form.get("strangers", "")
    done = made(request, now, lambda unit: admission.admit_strangers(unit, may))
    return done if isinstance(done, Response) else RedirectResponse("/access", pages.SEE_OTHER)


@router.post("/access/{number}/end")
def end(request: Request, number: int, form: Form, now: Now) -> Response:
    """End a pairing at once."""
    seen = forms.seen(form)
    done = made(request, now, lambda unit: pairings.end_pairing(unit, number, seen))
    return done if isinstance(done, Response) else RedirectResponse("/access", pages.SEE_OTHER)


def made(request: Request, now: datetime, act: Callable[[Session], MadeT]) -> MadeT | Response:
    """Do it and return what was made; where it can't be done, the page that says why."""
    try:
        with depends.writing(request, now) as unit:
            return act(unit)
    except KitloreError as error:
        with units.read(request.app.state.engine) as unit:
            page = _page(request, unit, now, failures.problems_of(error))
        return pages.show(request, "access.html", page, failures.status_of(error))


def _page(
    request: Request, session: Session, now: datetime, problems: tuple[Problem, ...] = ()
) -> AccessPage:
    return AccessPage(
        pairings=pairings.pairings(session, now),
        feeds=feeds.feeds(session),
        rooms=tuple(one.path for one in views.place_lines(session) if one.kind in _ROOMS),
        people=tuple(one.name for one in people.people(session)),
        strangers=admission.strangers(session),
        lan=request.app.state.reach is not Reach.HERE,
        problems=problems,
    )


def base(request: Request, wanted: str) -> str:
    """Return how the address begins by which a phone reaches what this request reached."""
    scheme, port = request.url.scheme, request.url.port or _HTTP[request.url.scheme]
    if request.url.hostname not in hosts.LOOPBACK:
        return f"{scheme}://{request.url.netloc}"
    name = hosts.name_of(hosts.shown_host(wanted, port))
    return f"{scheme}://{name}" + ("" if port == _HTTP[scheme] else f":{port}")


def _symbol(address: str) -> str:
    """Return a symbol as a picture's address: an SVG, drawn dark on light in either theme."""
    rows = qr.modules(address)
    side = len(rows) + 2 * _QUIET
    path = "".join(
        f"M{x + _QUIET} {y + _QUIET}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">'
        f'<path fill="#fff" d="M0 0h{side}v{side}H0z"/><path fill="#000" d="{path}"/></svg>'
    )
    return f"data:image/svg+xml,{quote(svg)}"
