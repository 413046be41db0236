"""`serve`: the pages."""

import os
from typing import Annotated

import typer

from kb import clock
from kb.cli import desk, output
from kb.records import workspace
from kb.records.workspace import Workspace

LOOPBACK = "127.0.0.1"


def add_to(app: typer.Typer) -> None:
    """Add the word `serve`."""
    app.command("serve")(serve)


def serve(
    port: Annotated[int, typer.Option(help="Where to listen.", min=1, max=65535)] = 8017,
) -> None:
    """Serve the pages to this machine.

    Example: kitlore serve --port 8017
    """
    run(desk.chosen(), port)


def run(place: Workspace, port: int) -> None:
    """Serve a workspace's pages until stopped.

    Raises:
        BusyError: Another serves it, or the port is taken.
    """
    import uvicorn

    from kb.records import revision, serving

    os.environ[workspace.VARIABLE] = str(place.folder)
    with serving.announced(place, revision.head(), port, clock.now()):
        output.say(f"Open http://{LOOPBACK}:{port}/ (stop with Ctrl-C).")
        uvicorn.run(
            "kb.web.app:from_environment",
            factory=True,
            host=LOOPBACK,
            port=port,
            log_level="critical",  # a defect is told in the workspace's log,
        )
