"""`stock`: what labels are printed on, and how far printers are off."""

from pathlib import Path
from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json
from kb.errors import InvalidError, NotFoundError, Problem
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.records import printers, workspace
from kb.records.printers import Offset
from kb.records.workspace import Workspace


def add_to(app: typer.Typer) -> None:
    """Add the word `stock`."""
    group = typer.Typer(help="What labels are printed on.", no_args_is_help=True)
    group.command("list")(list_)
    group.command("show")(show)
    group.command("calibrate")(calibrate)
    group.command("offset")(offset)
    app.add_typer(group, name="stock")


def list_(as_json: Json = False) -> None:
    """List the stocks on file.

    Example: kitlore stock list
    """
    stocks = every()
    if as_json:
        output.as_json(stocks)
        return
    rows = [
        (
            one.name,
            f"{one.label_width:g} x {one.label_height:g} mm",
            f"{one.columns} x {one.rows}",
            _round_cables(one),
        )
        for one in stocks
    ]
    output.table(("Name", "Label", "Columns x rows", "Cables"), rows, "No stock on file.")


def show(name: str, as_json: Json = False) -> None:
    """Show the numbers of a stock.

    Example: kitlore stock show a4-3x7-63x38
    """
    from dataclasses import asdict

    one = found(name)
    if as_json:
        output.as_json(one)
    else:
        output.facts({key.replace("_", " "): value for key, value in asdict(one).items()})


def calibrate(
    name: Annotated[str | None, typer.Argument(help="The stock; else the usual one.")] = None,
    out: Annotated[Path, typer.Option(help="A .pdf file.")] = Path("calibrate.pdf"),
    printer: Annotated[str | None, typer.Option(help="Whose offset counts.")] = None,
) -> None:
    """Print where labels should lie, and a line to measure.

    Example: kitlore stock calibrate a4-3x7-63x38 --printer office
    """
    from kb.labels import calibrate as pages
    from kb.labels import output as files

    one = found(name)
    kept = offset_of(desk.chosen(), printer) if printer else Offset(0, 0)
    files.write_pdf(pages.render(one, *kept), out)
    long = pages.length(one)
    output.say(
        f"{out}: print it at 100 % on plain paper. The line must be {long:g} mm long; viewers "
        "that scale 'to fit' make it shorter."
    )
    output.say(
        "Hold it with a sheet of labels against the light. Frames too far left or high? Say by "
        "how much: kitlore stock offset PRINTER --right MM --down MM"
    )


def offset(
    printer: Annotated[
        str | None, typer.Argument(help="The printer; else all are listed.")
    ] = None,
    right: Annotated[float | None, typer.Option(help="Move print to the right, mm.")] = None,
    down: Annotated[float | None, typer.Option(help="Move print down, mm.")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="Keep none for it.")] = False,
    as_json: Json = False,
) -> None:
    """Show or keep by how much each printer's print is moved.

    Example: kitlore stock offset office --right 0.8 --down=-1.2
    """
    here = desk.chosen()
    known = printers.read(here.settings.printers or "")
    if printer and (forget or right is not None or down is not None):
        known = _changed(known, printer, right, down, forget=forget)
        _save(here, known)
    if as_json:
        output.as_json({name: one._asdict() for name, one in known.items()})
        return
    rows = [
        (name, f"{one.right:g}", f"{one.down:g}")
        for name, one in sorted(known.items())
        if printer in (None, name)
    ]
    output.table(("Printer", ">Right, mm", ">Down, mm"), rows, "No offset is kept.")


def found(name: str | None, dpi: int | None = None) -> Stock:
    """Return a stock, the usual one where none is named, for a printer of so many dots.

    Raises:
        InvalidError: Its numbers are wrong.
        NotFoundError: There is none of that name.
    """
    from kb.labels import shelf

    one = shelf.find(name or shelf.DEFAULT, folders())
    return one.at(dpi) if dpi else one


def every() -> tuple[Stock, ...]:
    """Return all stocks on file, by name."""
    from kb.labels import shelf

    return tuple(shelf.find(name, folders()) for name in shelf.names(folders()))


def folders() -> list[Path]:
    """Return where stocks lie: the crew's own before those shipped."""
    try:
        own = [desk.chosen().folder / "labels"]
    except NotFoundError:
        own = []
    return [*own, workspace.starter("labels")]


def offset_of(here: Workspace, printer: str | None) -> Offset:
    """Return by how much a printer's print is moved; nothing where none is named.

    Raises:
        NotFoundError: No offset is kept for it.
    """
    known = printers.read(here.settings.printers or "")
    if printer and printer not in known:
        told = f"Known are: {', '.join(sorted(known)) or 'none'}. See 'kitlore stock offset'."
        raise NotFoundError("printer", printer, told)
    return known[printer] if printer else Offset(0, 0)


def symbols_told(made: Sheet) -> str:
    """Return how large symbols are and from how far they're read; empty where there are none."""
    from kb.labels import form

    sides = {symbol.side * made.dot for page in made.pages for symbol in page.symbols}
    if not sides:
        return ""
    far = form.scan_distance(min(sides)) / 10
    return f"Symbols of {min(sides):.1f} mm: a phone reads them from about {far:.0f} cm."


def _round_cables(one: Stock) -> str:
    if one.thickest_cable is None:
        return ""
    way = "wraps" if one.print_band is not None else "flags"
    return f"{way} up to {one.thickest_cable:.1f} mm"


def _changed(
    known: dict[str, Offset],
    printer: str,
    right: float | None,
    down: float | None,
    *,
    forget: bool,
) -> dict[str, Offset]:
    before = known.get(printer, Offset(0, 0))
    try:
        name = printers.checked_name(printer)
        new = printers.checked(
            before.right if right is None else right, before.down if down is None else down
        )
    except ValueError as error:
        raise InvalidError([Problem("offset", str(error))]) from None
    rest = {other: one for other, one in known.items() if other != name}
    return rest if forget else rest | {name: new}


def _save(here: Workspace, known: dict[str, Offset]) -> None:
    from kb.records import settings

    kept = printers.written(known) or None
    settings.save(here.folder, here.settings.model_copy(update={"printers": kept}))
