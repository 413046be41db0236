"""Find by what is seen or heard; nothing typed shows what was wrong lately."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from sqlmodel import Session

from kb.faults import frequent, views
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


@dataclass(frozen=True)
class Asked:
    """What was asked: the words, the area put first, the thing at hand, the room."""

    q: str = ""
    area: str = ""
    item: str = ""
    place: str = ""


def _asked(q: str = "", area: str = "", item: str = "", place: str = "") -> Asked:
    return Asked(q, area, item, place)


Question = Annotated[Asked, Depends(_asked)]


@router.get("/", include_in_schema=False)
def search(
    request: Request, session: Reading, place: Place, now: Now, asked: Question
) -> Response:
    """Show the whole page."""
    return pages.show(request, "search.html", _page(session, place, now, asked))


@router.get("/find", include_in_schema=False)
def fragment(
    request: Request, session: Reading, place: Place, now: Now, asked: Question
) -> Response:
    """Show the results alone, while somebody types."""
    return pages.show(request, "_found.html", _page(session, place, now, asked))


def ask(session: Session, place: Workspace, now: datetime, asked: Asked) -> Answer:
    """Return what the base holds on what was asked."""
    refresh.catch_up(session, place.index, Clock(now, place.settings.hold_days))
    boost = context.boosts(session, asked.item) if asked.item else {}
    with query.opened(place.index) as indexes:
        return query.answer(indexes, asked.q, Wish(area=asked.area or None, boost=boost))


def _page(session: Session, place: Workspace, now: datetime, asked: Asked) -> SearchPage:
    found = ask(session, place, now, asked) if asked.q.strip() else None
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
        show=shows.next_show(session, now),
        minutes=shows.minutes_to_air(session, now),
        now=now,
    )
