"""The application: one workspace, its routes, its failures."""

import os
from pathlib import Path

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from kb import __version__
from kb.records import opening, workspace
from kb.records.workspace import Workspace
from kb.web import failures, headers, pages
from kb.web.routes import ROUTERS

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
    )
    app.state.place = place
    app.state.engine = opening.open_engine(place)
    app.state.templates = pages.environment(place.settings.timezone)
    app.middleware("http")(headers.add)
    failures.install(app)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for router in ROUTERS:
        app.include_router(router)
    return app


def from_environment() -> FastAPI:
    """Return the application over the workspace that KITLORE_WORKSPACE names; for the server."""
    return create_app(workspace.opened(Path(os.environ[workspace.VARIABLE])))
