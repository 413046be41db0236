"""`label` and `stock`: QR labels and what they are printed on."""

from pathlib import Path
from typing import Annotated

import typer

from kb.cli import desk, failures, output
from kb.cli.options import Json
from kb.errors import NotFoundError
from kb.labels.marks import Sheet
from kb.records import workspace
from kb.records.workspace import Workspace


def add_to(app: typer.Typer) -> None:
    """Add the words `label` and `stock`."""
    app.command("label")(label)
    group = typer.Typer(help="What labels are printed on.", no_args_is_help=True)
    group.command("list")(list_)
    group.command("show")(show)
    app.add_typer(group, name="stock")


def label(
    items: Annotated[
        list[str] | None, typer.Argument(metavar="CODE", help="Codes or names.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every item not retired.")] = False,
    out: Annotated[Path, typer.Option(help="A .pdf or .png file.")] = Path("labels.pdf"),
    stock: Annotated[str | None, typer.Option(help="What it's printed on.")] = None,
    dpi: Annotated[int | None, typer.Option(help="The printer's dots per inch.")] = None,
    verify: Annotated[bool, typer.Option("--verify", help="Read every label back.")] = False,
) -> None:
    """Print QR labels, each of which opens the record of its item.

    A cable gets one for each end. Exit code 1 where a label could not be read back.

    Example: kitlore label --all --out sheet.pdf --verify
    """
    from kb.labels import choose, font, sheet, shelf
    from kb.labels import output as files

    place = desk.chosen()
    with desk.reading(place) as session:
        labels = choose.of_all(session) if every else choose.of_items(session, items or ())
    chosen = shelf.find(stock or shelf.DEFAULT, _folders())
    laid = sheet.lay_out(
        labels, chosen.at(dpi) if dpi else chosen, place.settings.host, font.load()
    )
    written = files.write(laid, out)
    _keep_host(place)
    for note in laid.notes:
        output.say(note)
    where = ", ".join(map(str, written))
    output.say(f"{output.counted(len(labels), 'label')} in {where}. Print at 100 %.")
    output.say(f"They open http://{place.settings.host.upper()}/CODE.")
    if verify:
        _verify(laid, written)


def list_(as_json: Json = False) -> None:
    """List the stocks on file.

    Example: kitlore stock list
    """
    from kb.labels import shelf

    found = [shelf.find(name, _folders()) for name in shelf.names(_folders())]
    if as_json:
        output.as_json(found)
        return
    rows = [
        (one.name, f"{one.label_width:g} x {one.label_height:g} mm", f"{one.columns} x {one.rows}")
        for one in found
    ]
    output.table(("Name", "Label", "Columns x rows"), rows, "No stock on file.")


def show(name: str, as_json: Json = False) -> None:
    """Show the numbers of a stock.

    Example: kitlore stock show a4-3x7-63x38
    """
    from dataclasses import asdict

    from kb.labels import shelf

    found = shelf.find(name, _folders())
    if as_json:
        output.as_json(found)
    else:
        output.facts({key.replace("_", " "): value for key, value in asdict(found).items()})


def _folders() -> list[Path]:
    """Return where stocks lie: the crew's own before those shipped."""
    try:
        own = [desk.chosen().folder / "labels"]
    except NotFoundError:
        own = []
    return [*own, workspace.starter("labels")]


def _keep_host(place: Workspace) -> None:
    """Remember the host on the labels: the pages answer by it as long as labels live."""
    from kb.crew import admission

    with desk.reading(place) as session:
        known = place.settings.host.casefold() in admission.printed_hosts(session)
    if not known:
        with desk.writing(place) as session:
            admission.keep_printed_host(session, place.settings.host)


def _verify(laid: Sheet, written: tuple[Path, ...]) -> None:
    from kb.labels import verify

    verdict = verify.read_back(laid, written)
    output.say(f"{output.counted(verdict.read, 'symbol')} read back.")
    for line in verdict.unread:
        output.say(line)
    if verdict.unread:
        raise typer.Exit(failures.NO)
