"""Find by what is seen or heard; nothing typed shows what was wrong lately."""

from datetime import datetime

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.faults import frequent, views
from kb.records.workspace import Workspace
from kb.web import airing, asking, pages
from kb.web.asking import Asked, Question
from kb.web.depends import Now, Place, Reading
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
) -> Response:
    """Show the whole page."""
    return pages.show(request, "search.html", _page(session, place, now, asked))


@router.get("/find", include_in_schema=False)
def fragment(
    request: Request, session: Reading, place: Place, now: Now, asked: Question
) -> Response:
    """Show the results alone, while somebody types."""
    return pages.show(request, "_found.html", _page(session, place, now, asked))


def _page(session: Session, place: Workspace, now: datetime, asked: Asked) -> SearchPage:
    found = asking.ask(session, place, now, asked) if asked.q.strip() else None
    room = asked.place or None
    days = place.settings.hold_days
    return SearchPage(
        query=asked.q.strip(),
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
