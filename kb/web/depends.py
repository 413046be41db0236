"""What a route is handed: the workspace, the time, a unit of work."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Annotated
from urllib.parse import unquote

from fastapi import Depends, Request
from sqlmodel import Session

from kb import clock
from kb.crew import people
from kb.records import session
from kb.records.steady import SteadyClock
from kb.records.unit import Writer
from kb.records.workspace import Workspace
from kb.web import visitors

WHO_COOKIE = "kitlore-who"
ROOM_COOKIE = "kitlore-room"
NOBODY = "somebody at this screen"


def _place(request: Request) -> Workspace:
    found: Workspace = request.app.state.place
    return found


Place = Annotated[Workspace, Depends(_place)]


def now_of(request: Request) -> datetime:
    """Return the time now, which never goes back behind what is recorded."""
    place: Workspace = request.app.state.place
    steady: SteadyClock = request.app.state.steady
    return place.now(steady.now(clock.now(), clock.ticks()))


def _now(request: Request) -> datetime:
    return now_of(request)


Now = Annotated[datetime, Depends(_now)]


def _reading(request: Request) -> Iterator[Session]:
    with session.read(request.app.state.engine) as unit:
        yield unit


# With the default scope what fails after the `yield` would reach nobody.
Reading = Annotated[Session, Depends(_reading, scope="function")]


@contextmanager
def writing(request: Request, now: datetime) -> Iterator[Session]:
    """Open a unit of work that writes; it's committed where the block ends, before the answer.

    A route opens it itself, so that it can show a form again with what was typed.
    """
    writer = Writer(who(request), visitors.of(request).device, now)
    with session.begin(request.app.state.engine, writer) as unit:
        yield unit


async def _form(request: Request) -> dict[str, str]:
    """Return the fields of a form that were filled in; files are read by who expects them."""
    form = await request.form(max_files=4, max_fields=200)
    return {name: value for name, value in form.items() if isinstance(value, str)}


Form = Annotated[dict[str, str], Depends(_form)]


def chosen_name(request: Request) -> str:
    """Return the name that was chosen at this screen; empty where none was."""
    return unquote(request.cookies.get(WHO_COOKIE, ""))


def who(request: Request) -> str:
    """Return who writes: in whose name a phone is let in, or who sits at the machine itself."""
    visitor = visitors.of(request)
    return visitor.person or (_named_here(request) if visitor.is_here else people.STRANGER)


def _named_here(request: Request) -> str:
    """Return the name chosen at this screen, as long as it's known; else that nobody was named."""
    named = chosen_name(request)
    if not named:
        return NOBODY
    with session.read(request.app.state.engine) as unit:
        return named if any(one.name == named for one in people.people(unit)) else NOBODY


def chosen_room(request: Request) -> str:
    """Return the room that this screen or phone keeps; empty for all."""
    return unquote(request.cookies.get(ROOM_COOKIE, ""))
