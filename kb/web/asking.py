"""A search as the pages and the API ask it."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Depends, Query, Request
from sqlmodel import Session

from kb.errors import KitloreError
from kb.gear import lookup
from kb.records.workspace import Workspace
from kb.search import context, narrowing, query, refresh, similar
from kb.search.listing import Wish
from kb.search.narrowing import Told
from kb.search.query import Answer
from kb.search.sources import Clock
from kb.web import depends
from kb.web.depends import Reading

_SPLIT = ","


def _told(
    area: str = "",
    scope: str = "",
    since: str = "",
    sight: str = "",
    ruled_out: Annotated[str, Query(alias="not")] = "",
    passed: str = "",
) -> Told:
    gone, gone_by = (tuple(filter(None, text.split(_SPLIT))) for text in (ruled_out, passed))
    return Told(area, sight, scope, since, gone, gone_by)


@dataclass(frozen=True)
class Asked:
    """What was asked.

    Attributes:
        q: The words.
        item: The code or name of the thing at hand.
        place: The room.
        told: What was answered since.
        as_typed: Words that are to be read as they stand.
    """

    q: str = ""
    item: str = ""
    place: str = ""
    told: Told = field(default_factory=Told)
    as_typed: tuple[str, ...] = ()


def _room(request: Request, session: Reading, place: str | None = None) -> str:
    """Return the room asked for; where none is, the one kept, as long as there is one of it."""
    room = depends.chosen_room(request) if place is None else place
    if place is None and room:
        try:
            lookup.place(session, room)
        except KitloreError:
            return ""
    return room


def _asked(
    told: Annotated[Told, Depends(_told)],
    room: Annotated[str, Depends(_room)],
    q: str = "",
    item: str = "",
    as_typed: str = "",
) -> Asked:
    return Asked(q, item, room, told, tuple(filter(None, as_typed.split(_SPLIT))))


Question = Annotated[Asked, Depends(_asked)]


def ask(session: Session, place: Workspace, now: datetime, asked: Asked) -> Answer:
    """Return what the base holds on what was asked, in the order that fits what was answered.

    Raises:
        NotFoundError: The thing at hand is unknown.
    """
    refresh.catch_up(session, place.index, Clock(now, place.settings.hold_days))
    boost = context.boosts(session, asked.item) if asked.item else {}
    wish = Wish(area=asked.told.area or None, boost=boost, undo=frozenset(asked.as_typed))
    with query.opened(place.index, similar.meaning) as indexes:
        found = query.answer(indexes, asked.q, wish)
    return narrowing.narrowed(found, asked.told)


def address(asked: Asked) -> str:
    """Return the address at which that is asked."""
    told = asked.told
    values = {
        "q": asked.q,
        "item": asked.item,
        "place": asked.place,
        "area": told.area,
        "scope": told.scope,
        "since": told.since,
        "sight": told.sight,
        "not": _SPLIT.join(told.ruled_out),
        "passed": _SPLIT.join(told.passed),
        "as_typed": _SPLIT.join(asked.as_typed),
    }
    return "/?" + urlencode({name: value for name, value in values.items() if value})
