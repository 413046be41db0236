"""Find by what is seen or heard; nothing typed shows what was wrong lately."""

from dataclasses import replace
from datetime import datetime

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.faults import frequent, views
from kb.faults.views import FaultLine
from kb.gear import ahead, meant, scanning
from kb.records.kinds import FaultState
from kb.records.workspace import Workspace
from kb.search import narrowing
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
    """Show the whole page; what a scanner typed opens what the label is on."""
    scanned = scanning.code_in(asked.q)
    if scanned and ahead.reserved(session, scanned):
        return RedirectResponse(f"/{scanned}", pages.SEE_OTHER)
    return pages.show(request, "search.html", _page(session, place, now, asked))


@router.get("/find", include_in_schema=False)
def fragment(
    request: Request, session: Reading, place: Place, now: Now, asked: Question
) -> Response:
    """Show the results alone, while somebody types."""
    return pages.show(request, "_found.html", _page(session, place, now, asked))


def _page(session: Session, place: Workspace, now: datetime, asked: Asked) -> SearchPage:
    found = asking.ask(session, place, now, asked) if asked.q.strip() else None
    named = meant.thing(session, asked.q)
    room = asked.place or None
    days = place.settings.hold_days
    return SearchPage(
        asked=replace(asked, q=asked.q.strip()),
        named=named,
        hits=found.hits if found else (),
        confident=found.confident if found else True,
        corrections=found.corrections if found else (),
        question=narrowing.question(found, asked.told) if found else None,
        recent=() if found else _lately(session, now, days, room),
        frequent=() if found else frequent.frequent(session, now, room),
        air=airing.air(session, now, asked.place),
        now=now,
    )


def _lately(session: Session, now: datetime, days: int, room: str | None) -> tuple[FaultLine, ...]:
    """Return the newest faults, those that are open before all others."""
    state = FaultState.OPEN
    wrong = views.fault_lines(session, now, days, state=state, place=room, limit=_RECENT)
    newest = views.fault_lines(session, now, days, place=room, limit=_RECENT)
    return (*wrong, *(one for one in newest if one.state is not state))[:_RECENT]
