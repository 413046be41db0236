"""The application: one workspace, its routes, its failures."""

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from kb import __version__, clock
from kb.entries import library, parse
from kb.records import opening, session, workspace
from kb.records.workspace import Workspace
from kb.search import refresh
from kb.search.sources import Clock
from kb.web import failures, headers, pages
from kb.web.routes import (
    adding,
    api,
    entries,
    entry_forms,
    fault_acts,
    fault_list,
    fault_slips,
    faults,
    gear,
    item_forms,
    items,
    links,
    loans,
    models,
    people,
    pictures,
    places,
    reports,
    review,
    review_parts,
    screen,
    search,
    services,
    shows,
    spares,
    wanted,
)

# The page behind a label answers any one word, so it comes last.
ROUTES = (
    search,
    screen,
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
    entry_forms,
    entries,
    fault_list,
    fault_slips,
    fault_acts,
    faults,
    pictures,
    reports,
    adding,
    item_forms,
    items,
)
STATIC = Path(__file__).parent / "static"


def create_app(place: Workspace) -> FastAPI:
    """Return the application over a workspace.

    Args:
        place: The workspace that it serves.

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
    app.middleware("http")(headers.add)
    failures.install(app)
    _warm(app)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for module in ROUTES:
        app.include_router(module.router)
    return app


@asynccontextmanager
async def _closing(app: FastAPI) -> AsyncIterator[None]:
    """Close the base when the server ends."""
    yield
    app.state.engine.dispose()


def _warm(app: FastAPI) -> None:
    """Parse every entry and catch the index up, so that the first scan needn't wait for it."""
    place: Workspace = app.state.place
    clocked = Clock(place.now(clock.now()), place.settings.hold_days)
    with session.read(app.state.engine) as unit:
        for text in library.texts(unit).values():
            parse.entry_from(text)
        refresh.catch_up(unit, place.index, clocked)


def from_environment() -> FastAPI:
    """Return the application over the workspace that KITLORE_WORKSPACE names; for the server."""
    return create_app(workspace.opened(Path(os.environ[workspace.VARIABLE])))
