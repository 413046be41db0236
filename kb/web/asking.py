"""A search as the pages and the API ask it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import Depends, Request
from sqlmodel import Session

from kb.errors import KitloreError
from kb.gear import lookup
from kb.records.workspace import Workspace
from kb.search import context, query, refresh
from kb.search.listing import Wish
from kb.search.query import Answer
from kb.search.sources import Clock
from kb.web import depends
from kb.web.depends import Reading


@dataclass(frozen=True)
class Asked:
    """What was asked: the words, the area put first, the thing at hand, the room."""

    q: str = ""
    area: str = ""
    item: str = ""
    place: str = ""


def _asked(
    request: Request,
    session: Reading,
    q: str = "",
    area: str = "",
    item: str = "",
    place: str | None = None,
) -> Asked:
    """Return the question; without a place the room is meant that the screen or phone keeps."""
    return Asked(q, area, item, _room(request, session) if place is None else place)


def _room(request: Request, session: Session) -> str:
    """Return the room that is kept, as long as there is one of that name."""
    room = depends.chosen_room(request)
    if not room:
        return ""
    try:
        lookup.place(session, room)
    except KitloreError:
        return ""
    return room


Question = Annotated[Asked, Depends(_asked)]


def ask(session: Session, place: Workspace, now: datetime, asked: Asked) -> Answer:
    """Return what the base holds on what was asked.

    Raises:
        NotFoundError: The thing at hand is unknown.
    """
    refresh.catch_up(session, place.index, Clock(now, place.settings.hold_days))
    boost = context.boosts(session, asked.item) if asked.item else {}
    with query.opened(place.index) as indexes:
        return query.answer(indexes, asked.q, Wish(area=asked.area or None, boost=boost))
