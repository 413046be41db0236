"""A search as the pages and the API ask it."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Depends, Query
from sqlmodel import Session

from kb.records.workspace import Workspace
from kb.search import context, narrowing, query, refresh
from kb.search.listing import Wish
from kb.search.narrowing import Told
from kb.search.query import Answer
from kb.search.sources import Clock

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
    """What was asked: the words, the thing at hand, the room, and what was answered since."""

    q: str = ""
    item: str = ""
    place: str = ""
    told: Told = field(default_factory=Told)


def _asked(
    told: Annotated[Told, Depends(_told)], q: str = "", item: str = "", place: str = ""
) -> Asked:
    return Asked(q, item, place, told)


Question = Annotated[Asked, Depends(_asked)]


def ask(session: Session, place: Workspace, now: datetime, asked: Asked) -> Answer:
    """Return what the base holds on what was asked, in the order that fits what was answered.

    Raises:
        NotFoundError: The thing at hand is unknown.
    """
    refresh.catch_up(session, place.index, Clock(now, place.settings.hold_days))
    boost = context.boosts(session, asked.item) if asked.item else {}
    with query.opened(place.index) as indexes:
        found = query.answer(indexes, asked.q, Wish(area=asked.told.area or None, boost=boost))
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
    }
    return "/?" + urlencode({name: value for name, value in values.items() if value})
