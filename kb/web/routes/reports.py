"""Report a fault: from a label in one press, or at a place without one."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from sqlmodel import Session

from kb.entries import library
from kb.entries.library import EntryLine
from kb.errors import KitloreError, Problem
from kb.faults import log, usual
from kb.gear import pages as gear_pages
from kb.gear import views
from kb.records import session as units
from kb.records.kinds import Effect, PlaceKind
from kb.records.workspace import Workspace
from kb.web import depends, failures, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Field
from kb.web.routes import pictures
from kb.web.routes.fault_acts import Press
from kb.web.routes.items import CABLE
from kb.web.routes.pictures import Photo
from kb.web.shown_log import LogPage

router = APIRouter(include_in_schema=False)
_ROOM = PlaceKind.ROOM
# What stands above the fields of the page.
_LABELS = (
    Field("text", "In your own words"),
    Field("item", "On which thing"),
    Field("place", "At which place"),
    Field("end", "Which end"),
    Field("effect", "What it did to the show"),
)
_FIELDS = ("item", "place", "end", "effect", "minutes_lost", "entry", "client_key")


@router.get("/log")
def at_place(
    request: Request, session: Reading, text: str = "", place: str = "", entry: str = ""
) -> Response:
    """Show the form for a fault on nothing that has a label."""
    typed = {"text": text, "place": place, "entry": entry}
    return pages.show(request, "log.html", _page(session, None, typed))


@router.get("/{code}/log")
def at_item(
    request: Request, session: Reading, code: str, text: str = "", entry: str = ""
) -> Response:
    """Show the form for a fault on a thing."""
    return pages.show(request, "log.html", _page(session, code, {"text": text, "entry": entry}))


@router.post("/log")
async def log_at_place(
    request: Request, form: Form, place: Place, now: Now, photo: Photo = None
) -> Response:
    """Keep a report, and go on to its fault."""
    content = await pictures.read(photo)
    return await run_in_threadpool(_kept, request, form, Told(place, now, None, content))


@router.post("/{code}/log")
async def log_at_item(
    request: Request, code: str, form: Form, place: Place, now: Now, photo: Photo = None
) -> Response:
    """Keep a report on a thing, and go on to its fault."""
    content = await pictures.read(photo)
    return await run_in_threadpool(_kept, request, form, Told(place, now, code, content))


@dataclass(frozen=True)
class Told:
    """What came beside the form: where, when, on which thing, and a picture or nothing."""

    place: Workspace
    now: datetime
    code: str | None
    photo: bytes


def _kept(request: Request, form: Mapping[str, str], told: Told) -> Response:
    """Keep the report; where something is wrong the form comes back with what was typed.

    The words are kept first: a picture that can't be read takes nothing with it.
    """
    try:
        with depends.writing(request, told.now) as unit:
            number = log.log_fault(unit, _values(unit, form, told.code), told.now)
    except KitloreError as error:
        with units.read(request.app.state.engine) as unit:
            problems = forms.labelled(_LABELS, failures.problems_of(error))
            page = _page(unit, told.code, form, problems)
        return pages.show(request, "log.html", page, failures.status_of(error))
    press = Press(request, told.place, told.now, number, {})
    return pictures.kept(press, told.photo)


def _values(unit: Session, form: Mapping[str, str], code: str | None) -> dict[str, Any]:
    """Return the report as it's typed; a chip that was pressed adds its words and its entry."""
    values: dict[str, Any] = {name: form[name] for name in _FIELDS if form.get(name)}
    words = [form.get("text", "").strip()]
    if code is not None:
        values["item"] = code
        chosen = [one for one in usual.usual(unit, code) if one.entry == form.get("usual")]
        values |= {"entry": chosen[0].entry} if chosen else {}
        words = [*(one.words for one in chosen), *words]
    elif not {"item", "place"} & values.keys() and form.get("room"):
        values["place"] = form["room"]  # a thing that is known has its own place
    return values | {"text": "; ".join(filter(None, words))}


def _page(
    session: Session,
    code: str | None,
    typed: Mapping[str, str],
    problems: tuple[Problem, ...] = (),
) -> LogPage:
    item = gear_pages.item_page(session, code) if code else None
    entry = _entry(session, typed.get("entry", ""))
    return LogPage(
        item=item,
        entry=entry,
        rooms=() if code else _rooms(session),
        usual=usual.usual(session, code) if code and entry is None else (),
        is_cable=item is not None and item.line.equipment_class == CABLE,
        effects=tuple(Effect),
        key=typed.get("client_key") or secrets.token_urlsafe(12),
        typed=typed,
        problems=problems,
    )


def _rooms(session: Session) -> tuple[tuple[str, str], ...]:
    """Return the rooms, then the house for who doesn't know: its path, what the press says."""
    lines = views.place_lines(session)
    tops = [one.path for one in lines if not one.within]
    above = f"{tops[0]}/" if len(tops) == 1 else ""
    rooms = [(one.path, one.path.removeprefix(above)) for one in lines if one.kind == _ROOM]
    return (*rooms, *((top, "don't know") for top in tops if above and rooms))


def _entry(session: Session, slug: str) -> EntryLine | None:
    """Return the entry that an address names; None where there is none, the words are enough."""
    try:
        return library.entry_page(session, slug).line if slug else None
    except KitloreError:
        return None
