"""Report a fault: from a label in one press, or at a place without one."""

import secrets
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.errors import KitloreError, Problem
from kb.faults import log, usual
from kb.gear import pages as gear_pages
from kb.records import session as units
from kb.records.kinds import Effect
from kb.web import depends, failures, pages
from kb.web.depends import Form, Now, Reading
from kb.web.routes.items import CABLE
from kb.web.shown import LogPage

router = APIRouter(include_in_schema=False)
SEE_OTHER = 303
_FIELDS = ("item", "place", "end", "effect", "minutes_lost", "client_key")


@router.get("/log")
def at_place(request: Request, session: Reading, text: str = "", place: str = "") -> Response:
    """Show the form for a fault on nothing that has a label."""
    return pages.show(request, "log.html", _page(session, None, {"text": text, "place": place}))


@router.get("/{code}/log")
def at_item(request: Request, session: Reading, code: str, text: str = "") -> Response:
    """Show the form for a fault on a thing."""
    return pages.show(request, "log.html", _page(session, code, {"text": text}))


@router.post("/log")
def log_at_place(request: Request, form: Form, now: Now) -> Response:
    """Keep a report, and go on to its fault."""
    return _kept(request, form, now, None)


@router.post("/{code}/log")
def log_at_item(request: Request, code: str, form: Form, now: Now) -> Response:
    """Keep a report on a thing, and go on to its fault."""
    return _kept(request, form, now, code)


def _kept(request: Request, form: Mapping[str, str], now: datetime, code: str | None) -> Response:
    """Keep the report; where something is wrong the form comes back with what was typed."""
    try:
        with depends.writing(request, now) as unit:
            number = log.log_fault(unit, _values(unit, form, code), now)
    except KitloreError as error:
        with units.read(request.app.state.engine) as unit:
            page = _page(unit, code, form, failures.problems_of(error))
        return pages.show(request, "log.html", page, failures.status_of(error))
    return RedirectResponse(f"/faults/{number}", SEE_OTHER)


def _values(unit: Session, form: Mapping[str, str], code: str | None) -> dict[str, Any]:
    """Return the report as it's typed; a chip that was pressed adds its words and its entry."""
    values: dict[str, Any] = {name: form[name] for name in _FIELDS if form.get(name)}
    words = [form.get("text", "").strip()]
    if code is not None:
        values["item"] = code
        chosen = [one for one in usual.usual(unit, code) if one.entry == form.get("usual")]
        values |= {"entry": chosen[0].entry} if chosen else {}
        words = [*(one.words for one in chosen), *words]
    return values | {"text": "; ".join(filter(None, words))}


def _page(
    session: Session,
    code: str | None,
    typed: Mapping[str, str],
    problems: tuple[Problem, ...] = (),
) -> LogPage:
    item = gear_pages.item_page(session, code) if code else None
    return LogPage(
        item=item,
        usual=usual.usual(session, code) if code else (),
        is_cable=item is not None and item.line.equipment_class == CABLE,
        effects=tuple(Effect),
        key=typed.get("client_key") or secrets.token_urlsafe(12),
        typed=typed,
        problems=problems,
    )
