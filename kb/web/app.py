"""The application: one workspace, its routes, its failures."""

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from kb import __version__, clock
from kb.crew import hosts
from kb.crew.hosts import Reach
from kb.entries import library, parse
from kb.records import newest, opening, session, workspace
from kb.records.steady import SteadyClock
from kb.records.workspace import Workspace
from kb.search import refresh
from kb.search.sources import Clock
from kb.web import failures, headers, limits, pages
from kb.web.guard import Guard
from kb.web.routes import (
    access,
    adding,
    api,
    audit,
    drives,
    entries,
    entry_forms,
    entry_papers,
    fault_acts,
    fault_list,
    fault_slips,
    faults,
    feeds,
    gear,
    glossary,
    item_forms,
    items,
    labels,
    links,
    loans,
    models,
    pairing,
    people,
    pictures,
    places,
    reports,
    review,
    review_parts,
    scan,
    screen,
    search,
    services,
    shows,
    spares,
    unknown,
    unused,
    wanted,
    words,
)

# The page behind a label answers any one word, so it comes last.
ROUTES = (
    search,
    screen,
    scan,
    pairing,
    unknown,
    access,
    feeds,
    audit,
    review,
    review_parts,
    api,
    gear,
    models,
    places,
    links,
    shows,
    loans,
    services,
    spares,
    people,
    wanted,
    words,
    glossary,
    entry_forms,
    entry_papers,
    entries,
    fault_list,
    fault_slips,
    fault_acts,
    faults,
    pictures,
    reports,
    adding,
    drives,
    labels,
    unused,
    item_forms,
    items,
)
STATIC = Path(__file__).parent / "static"


def create_app(place: Workspace, *, reach: Reach = Reach.HERE) -> FastAPI:
    """Return the application over a workspace.

    Args:
        place: The workspace that it serves.
        reach: From where it's reached; through a proxy nobody seems to sit at this machine.

    Raises:
        StorageError: Its base can't be opened.
    """
    app = FastAPI(
        title="Kitlore",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=_closing,
    )
    app.state.place = place
    app.state.engine = opening.open_engine(place)
    app.state.templates = pages.environment(place.settings.timezone)
    app.state.reach = reach
    app.state.hosts = hosts.machine_names() | {place.settings.host.casefold()}
    app.state.limits = limits.usual()
    app.add_middleware(Guard)
    app.middleware("http")(headers.add)
    failures.install(app)
    _warm(app)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.state.routes = list(app.routes)
    for module in ROUTES:
        app.include_router(module.router)
        app.state.routes += module.router.routes
    return app


@asynccontextmanager
async def _closing(app: FastAPI) -> AsyncIterator[None]:
    """Close the base when the server ends."""
    yield
    app.state.engine.dispose()


def _warm(app: FastAPI) -> None:
    """Begin the clock; parse every entry and catch the index up before the first scan waits."""
    place: Workspace = app.state.place
    last = None if place.settings.today else newest.recorded(place)
    app.state.steady = SteadyClock(last, clock.ticks(), place.settings.clock_right)
    now = app.state.steady.now(clock.now(), clock.ticks())
    clocked = Clock(place.now(now), place.settings.hold_days)
    with session.read(app.state.engine) as unit:
        for text in library.texts(unit).values():
            parse.entry_from(text)
        refresh.catch_up(unit, place.index, clocked)


def from_environment() -> FastAPI:
    """Return the application over the workspace that KITLORE_WORKSPACE names; for the server."""
    place = workspace.opened(Path(os.environ[workspace.VARIABLE]))
    return create_app(place, reach=Reach(os.environ.get(hosts.VARIABLE, Reach.HERE)))
