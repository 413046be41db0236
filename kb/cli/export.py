"""`export`: the base, a search and the gear list as one file to read."""

from pathlib import Path
from typing import Annotated

import typer

from kb.cli import desk, output
from kb.errors import InvalidError, Problem
from kb.records.workspace import Workspace


def add_to(app: typer.Typer) -> None:
    """Add the word `export`."""
    app.command("export")(export)


def export(
    file: Annotated[Path, typer.Argument(help="An .html file.", metavar="FILE")],
) -> None:
    """Write entries, their search and the gear list as one HTML file.

    Example: kitlore export /mnt/stick/kitlore.html
    """
    if file.suffix.lower() not in (".html", ".htm"):
        raise InvalidError([Problem("file", f"'{file.name}' doesn't end in .html. Name it so.")])
    written = write(desk.chosen(), file)
    output.say(f"{file}: {written / 1e6:.1f} MB, opens in any browser without a network.")


def write(place: Workspace, file: Path) -> int:
    """Write the file and return its size in bytes."""
    from kb.exchange import one_page

    with desk.reading(place) as session:
        return one_page.write(session, place, file, desk.now(place))
