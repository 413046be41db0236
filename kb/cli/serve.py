"""`serve`: the pages, to this machine or to the crew's network."""

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from kb.cli import desk, output
from kb.crew import hosts
from kb.crew.hosts import Reach
from kb.errors import InvalidError, Problem
from kb.records import workspace
from kb.records.workspace import Workspace

_PORT, _TLS_PORT = 8017, 8443


def add_to(app: typer.Typer) -> None:
    """Add the word `serve`."""
    app.command("serve")(serve)


def serve(
    port: Annotated[
        int | None,
        typer.Option(help="Where to listen; else 8017, with TLS 8443.", min=1, max=65535),
    ] = None,
    lan: Annotated[bool, typer.Option("--lan", help="Serve the crew's network too.")] = False,
    proxy: Annotated[bool, typer.Option("--proxy", help="A proxy here passes all on.")] = False,
    cert: Annotated[Path | None, typer.Option(help="A TLS certificate (PEM).")] = None,
    key: Annotated[Path | None, typer.Option(help="Its key (PEM).")] = None,
    install: Annotated[
        bool, typer.Option("--install", help="Write a service file for power-on instead.")
    ] = False,
) -> None:
    """Serve the pages to this machine, or to the crew's network.

    Example: kitlore serve --lan
    """
    from kb.cli import listening, service_file

    place = desk.chosen()
    reach = _reach(lan=lan, proxy=proxy)
    tls = listening.tls(cert, key)
    served = listening.Served(reach, port or (_TLS_PORT if tls else _PORT), tls)
    if reach is not Reach.HERE:
        _require_lead(place)
    if install:
        for line in service_file.write(place, served):
            output.say(line)
    else:
        run(place, served)


def run(place: Workspace, served: Any, ways: Sequence[tuple[str, str]] = ()) -> None:  # noqa: ANN401 - loaded late
    """Serve a workspace's pages until stopped.

    Args:
        place: The workspace.
        served: To whom and where (`kb.cli.listening.Served`).
        ways: What to try, as (for whom, path); told with the address and its QR symbol.

    Raises:
        BusyError: Another serves it, or the port is taken.
    """
    from kb.cli import listening, qr_text
    from kb.records import revision, serving

    doors = listening.doors(place.settings.host, served)
    address = served.address(listening.LOOPBACK)
    os.environ[workspace.VARIABLE] = str(place.folder)
    os.environ[hosts.VARIABLE] = served.reach
    doubt = desk.clock_doubt(place)
    with serving.announced(place, revision.head(), served.port, desk.counted(place)):
        if ways:
            qr_text.show(f"{address}/")
        output.say(f"Open {address}/ (stop with Ctrl-C).")
        if doubt:
            output.say(doubt)
        for who, path in ways:
            output.say(f"- {who}: {address}{path}")
        if served.reach is Reach.NETWORK:
            _tell_phones(place, served.address(hosts.lan_address()))
        sys.stdout.flush()  # told at once in a pipe too
        listening.serve("kb.web.app:from_environment", doors)


def _reach(*, lan: bool, proxy: bool) -> Reach:
    if lan and proxy:
        raise InvalidError(
            [Problem("lan", "behind a proxy only the proxy listens on the network. Leave it out.")]
        )
    return Reach.NETWORK if lan else Reach.PROXY if proxy else Reach.HERE


def _require_lead(place: Workspace) -> None:
    """Refuse to open the network where nobody leads."""
    from kb.crew import admission

    with desk.reading(place) as session:
        admission.require_lead(session)


def _tell_phones(place: Workspace, address: str) -> None:
    output.say(f"On the crew's network: {address}/ for phones that are let in.")
    output.say("Let one in: 'kitlore access pair NAME', or 'Who gets in' on this machine's page.")
    if hosts.name_of(place.settings.host) in hosts.LOOPBACK:
        host = address.partition("://")[2]
        output.say(f"Labels open this machine alone still: 'kitlore settings host={host}'.")
