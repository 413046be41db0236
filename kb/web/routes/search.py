"""Find by what is seen or heard; nothing typed shows what was wrong lately."""

from dataclasses import replace
from datetime import datetime
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.faults import frequent, views
from kb.records.workspace import Workspace
from kb.search import unanswered
from kb.web import airing, asking, depends, pages
from kb.web.asking import Asked, Question
from kb.web.depends import Form, Now, Place, Reading
from kb.web.shown import SearchPage

router = APIRouter()
_RECENT = 10


@router.get("/", include_in_schema=False)
def search(
    request: Request,
    session: Reading,
    place: Place,
    now: Now,
    asked: Question,
    noted: str = "",
) -> Response:
    """Show the whole page."""
    page = replace(_page(session, place, now, asked), noted=bool(noted))
    return pages.show(request, "search.html", page)


@router.get("/find", include_in_schema=False)
def fragment(
    request: Request, session: Reading, place: Place, now: Now, asked: Question
) -> Response:
    """Show the results alone, while somebody types."""
    return pages.show(request, "_found.html", _page(session, place, now, asked))


@router.post("/wanted", include_in_schema=False)
def wanted(request: Request, form: Form, now: Now) -> Response:
    """Keep a search that found nothing sure: the list of entries to write next."""
    asked = {name: form[name] for name in ("q", "item") if form.get(name)}
    with depends.writing(request, now) as unit:
        unanswered.keep(unit, form.get("q", ""), now, form.get("item") or None)
    return RedirectResponse("/?" + urlencode(asked | {"noted": "yes"}), pages.SEE_OTHER)


def _page(session: Session, place: Workspace, now: datetime, asked: Asked) -> SearchPage:
    found = asking.ask(session, place, now, asked) if asked.q.strip() else None
    room = asked.place or None
    days = place.settings.hold_days
    return SearchPage(
        query=asked.q,
        area=asked.area,
        item=asked.item,
        place=asked.place,
        hits=found.hits if found else (),
        confident=found.confident if found else True,
        recent=() if found else views.fault_lines(session, now, days, place=room, limit=_RECENT),
        frequent=() if found else frequent.frequent(session, now, room),
        air=airing.air(session, now),
        now=now,
    )
