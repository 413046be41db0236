"""`entries print`: entries on paper for the rack door."""

from pathlib import Path
from typing import Annotated

import typer

from kb.cli import desk, failures, output
from kb.entries.words import Area
from kb.errors import InvalidError, Problem
from kb.trade import CLASSES


def add_to(group: typer.Typer) -> None:
    """Add this word to the group of entries."""
    group.command("print")(print_)


def print_(
    slugs: Annotated[
        list[str] | None, typer.Argument(metavar="SLUG", help="The entries' slugs.")
    ] = None,
    area: Annotated[
        Area | None,
        typer.Option(help="All of an area, like Audio.", case_sensitive=False, metavar="AREA"),
    ] = None,
    equipment: Annotated[
        str | None, typer.Option("--class", help="All of a class, like recorder.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every accepted entry.")] = False,
    out: Annotated[Path, typer.Option(help="A .pdf file.")] = Path("entries.pdf"),
    verify: Annotated[bool, typer.Option("--verify", help="Read every symbol back.")] = False,
) -> None:
    """Print entries for the rack door, as a PDF.

    Each has a symbol that opens its live page. Exit code 1 where a symbol could not be read back.

    Example: kitlore entries print --area Audio --out audio.pdf
    """
    from kb.labels import font, paper, papers
    from kb.labels import output as files
    from kb.labels import verify as reading

    if equipment and equipment not in CLASSES:
        raise InvalidError([Problem("class", f"'{equipment}' is none. Known: {_CLASSES}.")])
    place = desk.chosen()
    with desk.reading(place) as session:
        chosen = list(slugs or ())
        if every or area or equipment:
            chosen += papers.slugs_of(session, area, equipment)
        found = papers.of_slugs(session, chosen, desk.now(place), place.settings)
    laid = paper.lay_out(found, place.settings.host, font.load())
    written = files.write(laid, out)
    pages = output.counted(len(laid.pages), "page")
    where = ", ".join(map(str, written))
    output.say(f"{output.counted(len(found), 'entry', 'entries')}, {pages}, in {where}.")
    if verify:
        verdict = reading.read_back(laid, written)
        for line in (f"{output.counted(verdict.read, 'symbol')} read back.", *verdict.unread):
            output.say(line)
        if verdict.unread:
            raise typer.Exit(failures.NO)


_CLASSES = ", ".join(CLASSES)
