"""Find by what is seen or heard; nothing typed shows what was wrong lately."""

from datetime import datetime

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.faults import views
from kb.gear import shows
from kb.records.workspace import Workspace
from kb.search import context, query, refresh
from kb.search.listing import Wish
from kb.search.query import Answer
from kb.search.sources import Clock
from kb.web import pages
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
    q: str = "",
    area: str = "",
    item: str = "",
) -> Response:
    """Show the whole page."""
    return pages.show(request, "search.html", _page(session, place, now, (q, area, item)))


@router.get("/find", include_in_schema=False)
def fragment(
    request: Request,
    session: Reading,
    place: Place,
    now: Now,
    q: str = "",
    area: str = "",
    item: str = "",
) -> Response:
    """Show the results alone, while somebody types."""
    return pages.show(request, "_found.html", _page(session, place, now, (q, area, item)))


def ask(session: Session, place: Workspace, now: datetime, asked: tuple[str, str, str]) -> Answer:
    """Return what the base holds on (what was typed, the area, the thing at hand)."""
    text, area, item = asked
    refresh.catch_up(session, place.index, Clock(now, place.settings.hold_days))
    boost = context.boosts(session, item) if item else {}
    with query.opened(place.index) as indexes:
        return query.answer(indexes, text, Wish(area=area or None, boost=boost))


def _page(
    session: Session, place: Workspace, now: datetime, asked: tuple[str, str, str]
) -> SearchPage:
    text, area, item = asked
    found = ask(session, place, now, asked) if text.strip() else None
    return SearchPage(
        query=text,
        area=area,
        item=item,
        hits=found.hits if found else (),
        confident=found.confident if found else True,
        recent=()
        if found
        else views.fault_lines(session, now, place.settings.hold_days, limit=_RECENT),
        show=shows.next_show(session, now),
        minutes=shows.minutes_to_air(session, now),
        now=now,
    )
