"""What a route is handed: the workspace, the time, a unit of work."""

from collections.abc import Iterator
from datetime import datetime
from typing import Annotated
from urllib.parse import unquote

from fastapi import Depends, Request
from sqlmodel import Session

from kb import clock
from kb.crew import people
from kb.records import session
from kb.records.unit import Writer
from kb.records.workspace import Workspace

WHO_COOKIE = "kitlore-who"
NOBODY = "somebody at this screen"


def _place(request: Request) -> Workspace:
    found: Workspace = request.app.state.place
    return found


Place = Annotated[Workspace, Depends(_place)]


def _now(place: Place) -> datetime:
    return place.now(clock.now())


Now = Annotated[datetime, Depends(_now)]


def _reading(request: Request) -> Iterator[Session]:
    with session.read(request.app.state.engine) as unit:
        yield unit


# The scope matters: with the default one a failed commit is answered as a success, since the
# exit code would run after the answer was sent.
Reading = Annotated[Session, Depends(_reading, scope="function")]


def _writing(request: Request, now: Now) -> Iterator[Session]:
    writer = Writer(who(request), "page", now)
    with session.begin(request.app.state.engine, writer) as unit:
        yield unit


Writing = Annotated[Session, Depends(_writing, scope="function")]


def chosen_name(request: Request) -> str:
    """Return the name that was chosen at this screen; empty where none was."""
    return unquote(request.cookies.get(WHO_COOKIE, ""))


def who(request: Request) -> str:
    """Return who writes: the name chosen at this screen, as long as it's known."""
    named = chosen_name(request)
    if not named:
        return NOBODY
    with session.read(request.app.state.engine) as unit:
        return named if any(one.name == named for one in people.people(unit)) else NOBODY
