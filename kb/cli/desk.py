"""Where a command works: the workspace chosen, its database, who writes and when."""

import getpass
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from kb import checking, clock
from kb.errors import InvalidError, Problem
from kb.records import newest, workspace
from kb.records.steady import SteadyClock
from kb.records.workspace import Workspace

BY = "KITLORE_BY"


@dataclass(frozen=True)
class Choice:
    """What the person said before the command: which workspace, and who they are."""

    folder: Path | None = None
    by: str | None = None


CHOICE: ContextVar[Choice] = ContextVar("choice")
_NOTHING_SAID = Choice()


def chosen() -> Workspace:
    """Return the workspace that the command works in.

    Raises:
        InvalidError: Its settings are wrong.
        NotFoundError: There is none.
    """
    return workspace.opened(folder())


def folder() -> Path:
    """Return the folder of the workspace that the command works in, be its settings damaged.

    Raises:
        NotFoundError: There is none.
    """
    return workspace.located(_choice().folder, Path.cwd(), os.environ)


def now(place: Workspace) -> datetime:
    """Return the time now in a workspace: never before its last record, nor long after it."""
    return place.now(counted(place))


def counted(place: Workspace) -> datetime:
    """Return the machine's time, counted on from the last record where that isn't believed."""
    return _steady(place).now(clock.now(), 0.0)


def clock_doubt(place: Workspace) -> str:
    """Return what to say of the machine's clock where it isn't believed; else nothing."""
    return _steady(place).told(clock.now(), 0.0, place.settings.timezone)


def _steady(place: Workspace) -> SteadyClock:
    last = None if place.settings.today else newest.recorded(place)
    # Each command begins a clock: asked twice within one, the time is the same.
    return SteadyClock(last, 0.0, place.settings.clock_right)


def moment(place: Workspace, typed: str | None) -> datetime:
    """Return the time that was typed, in the workspace's zone; now where nothing was.

    Raises:
        InvalidError: It's no time.
    """
    if typed is None:
        return now(place)
    return checking.moment(typed, place.settings.timezone, now(place))


def done_at(place: Workspace, typed: str | None) -> datetime:
    """Return the time that was typed for something done, now where nothing was.

    Raises:
        InvalidError: It's no time, or it's still to come.
    """
    at = moment(place, typed)
    if at > now(place):
        raise InvalidError([Problem("at", "that is in the future. Give a time till now.")])
    return at


def day(place: Workspace, typed: str | None = None) -> date:
    """Return the day that was typed, or of the time that was; today where nothing was.

    Raises:
        InvalidError: It's no day.
    """
    return moment(place, typed).astimezone(place.settings.timezone).date()


def field_moment(
    place: Workspace, typed: str | None, near: datetime | None = None
) -> datetime | str | None:
    """Return the time that was typed for a field: an empty text empties it, None leaves it.

    Args:
        place: The workspace.
        typed: What was typed.
        near: On whose day a time of day is; else today.

    Raises:
        InvalidError: It's no time.
    """
    if not typed:
        return typed
    return checking.moment(typed, place.settings.timezone, near or now(place))


def named() -> str | None:
    """Return who the person says they are, if they do."""
    return _choice().by or os.environ.get(BY)


def login() -> str:
    """Return the name that the machine knows the person by."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "somebody"


@contextmanager
def writing(place: Workspace) -> Iterator[Any]:
    """Open a unit of work that writes, in the name of whoever calls.

    The person is the one of --by or KITLORE_BY, who must be known, else the login name.

    Raises:
        BusyError: Another writer holds the database.
        NotFoundError: Nobody has the name.
        StorageError: The database can't be written.
    """
    from kb.crew import people
    from kb.records import session
    from kb.records.unit import Writer

    doubt = clock_doubt(place)
    if doubt:
        print(doubt, file=sys.stderr)  # noqa: T201 - what is read on standard output stays whole
    by = named()
    writer = Writer(by or login(), "terminal", now(place))
    with _engine(place) as engine, session.begin(engine, writer) as unit:
        if by:
            people.person_by(unit, by)
        yield unit


@contextmanager
def reading(place: Workspace) -> Iterator[Any]:
    """Open a unit of work that only reads.

    Raises:
        StorageError: The database can't be read.
    """
    from kb.records import session

    with _engine(place) as engine, session.read(engine) as unit:
        yield unit


@contextmanager
def _engine(place: Workspace) -> Iterator[Any]:
    """Open the base, and close it behind the command: nothing holds the file any longer."""
    from kb.records import opening

    engine = opening.open_engine(place)
    try:
        yield engine
    finally:
        engine.dispose()


def given(**options: object) -> dict[str, Any]:
    """Return the options that were given: field to what was typed."""
    return {name: value for name, value in options.items() if value is not None}


def changes(**options: object) -> dict[str, Any]:
    """Return the options that were given, to a command that changes what they name.

    Raises:
        InvalidError: None was given.
    """
    values = given(**options)
    if not values:
        raise InvalidError([Problem("option", "say what to change; --help lists the options.")])
    return values


def _choice() -> Choice:
    return CHOICE.get(_NOTHING_SAID)
