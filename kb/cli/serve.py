"""`serve`: the pages."""

import os
import socket
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from kb import clock
from kb.cli import desk, output
from kb.errors import BusyError
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


def run(place: Workspace, port: int, ways: Sequence[tuple[str, str]] = ()) -> None:
    """Serve a workspace's pages until stopped.

    Args:
        place: The workspace.
        port: Where to listen.
        ways: What to try, as (for whom, path); told with the address and its QR symbol.

    Raises:
        BusyError: Another serves it, or the port is taken.
    """
    import uvicorn

    from kb.cli import qr_text
    from kb.records import revision, serving

    _require_free(port)
    address = f"http://{LOOPBACK}:{port}"
    os.environ[workspace.VARIABLE] = str(place.folder)
    with serving.announced(place, revision.head(), port, clock.now()):
        if ways:
            qr_text.show(f"{address}/")
        output.say(f"Open {address}/ (stop with Ctrl-C).")
        for who, path in ways:
            output.say(f"- {who}: {address}{path}")
        sys.stdout.flush()  # told at once in a pipe too
        uvicorn.run(
            "kb.web.app:from_environment",
            factory=True,
            host=LOOPBACK,
            port=port,
            log_level="critical",  # a defect is told in the workspace's log
        )


def _require_free(port: int) -> None:
    """Refuse a port that something listens on.

    Raises:
        BusyError: It's taken.
    """
    with socket.socket() as asked:
        asked.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            asked.bind((LOOPBACK, port))
        except OSError:
            raise BusyError(
                f"Port {port} of this machine is taken. Stop what listens there, or name another "
                "with --port."
            ) from None
