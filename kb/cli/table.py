"""`table`: items, models and places to a spreadsheet and back."""

from pathlib import Path
from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json

Kind = Annotated[str, typer.Argument(help="items, models or places.", metavar="KIND")]


def add_to(app: typer.Typer) -> None:
    """Add the word `table`."""
    group = typer.Typer(help="Lists to a spreadsheet and back, as CSV.", no_args_is_help=True)
    group.command("out")(out)
    group.command("in")(in_)
    app.add_typer(group, name="table")


def out(
    kind: Kind,
    file: Annotated[Path, typer.Argument(help="A new .csv file.", metavar="FILE")],
) -> None:
    """Write what is in use as a file of comma-separated values.

    Example: kitlore table out items items.csv
    """
    from kb.exchange import tables

    with desk.reading(desk.chosen()) as session:
        text = tables.give_out(session, kind)
    tables.write_file(file, text)
    output.say(f"The {kind} are in {file}.")


def in_(
    kind: Kind,
    file: Annotated[Path, typer.Argument(help="A .csv file in UTF-8.", metavar="FILE")],
    rehearse: Annotated[
        bool, typer.Option("--try", help="Only say what is wrong; keep nothing.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Add every row of a file, or none where one is wrong.

    The first line names the columns; 'table out' shows how they are called. Models and places
    come in before the items that name them.

    Example: kitlore table in items items.csv --try
    """
    from kb.exchange import tables

    here = desk.chosen()
    text = tables.read_file(file)
    with desk.writing(here) as session:
        added = tables.take_in(session, kind, text, desk.now(here))
        if rehearse:
            session.rollback()
    if as_json:
        output.as_json({"rows": added, "kept": not rehearse})
    elif rehearse:
        output.say(f"Nothing is wrong with {output.counted(added, 'row')}. Nothing was kept.")
    else:
        output.say(f"{output.counted(added, kind.removesuffix('s'))} added.")
