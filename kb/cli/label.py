"""`label`: QR labels of things and places, and labels printed ahead."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from kb.cli import desk, failures, output, stock
from kb.errors import InvalidError, Problem
from kb.labels.marks import Sheet
from kb.labels.stock import Stock
from kb.labels.text import LabelText
from kb.labels.wishes import Extras, Wishes
from kb.records.workspace import Workspace

_SAMPLE = "000001"
_FAR = 10_000  # millimetres, more than any label is read from
_Distance = Annotated[float | None, typer.Option(help="Read from so many mm.", min=0, max=_FAR)]
_Module = Annotated[float | None, typer.Option(help="Side of a module in mm.", min=0, max=_FAR)]
_Diameter = Annotated[
    float | None, typer.Option(help="How thick cables are, mm.", min=0, max=_FAR)
]
_MANY = 200  # labels, from which on one waits long enough to be told how far it is


def add_to(app: typer.Typer) -> None:
    """Add the word `label`."""
    app.command("label")(label)


def label(
    items: Annotated[
        list[str] | None, typer.Argument(metavar="CODE", help="Codes or names.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every item not retired.")] = False,
    places: Annotated[bool, typer.Option("--places", help="Every place in use.")] = False,
    new: Annotated[int | None, typer.Option(help="Reserve so many codes, print them.")] = None,
    unused: Annotated[bool, typer.Option("--unused", help="Codes reserved, unused yet.")] = False,
    out: Annotated[Path, typer.Option(help="A .pdf or .png file.")] = Path("labels.pdf"),
    on: Annotated[str | None, typer.Option("--stock", help="What it's printed on.")] = None,
    dpi: Annotated[int | None, typer.Option(help="The printer's dots per inch.")] = None,
    printer: Annotated[str | None, typer.Option(help="Whose offset counts.")] = None,
    start: Annotated[int, typer.Option(help="Label of a used sheet to begin at.")] = 1,
    place: Annotated[bool, typer.Option("--place", help="Say where each lies.")] = False,
    inspected: Annotated[
        bool, typer.Option("--inspected", help="Say when it was inspected.")
    ] = False,
    return_to: Annotated[str, typer.Option(help="Say to whom it's brought back.")] = "",
    boxed: Annotated[bool, typer.Option("--boxed", help="The code white on black.")] = False,
    distance: _Distance = None,
    module: _Module = None,
    diameter: _Diameter = None,
    verify: Annotated[bool, typer.Option("--verify", help="Read every label back.")] = False,
) -> None:
    """Print QR labels that open the records of items and places.

    A cable gets one for each end. Exit code 1 where a label could not be read back.

    Example: kitlore label --all --out sheet.pdf --verify
    """
    here = desk.chosen()
    extras = Extras(
        place=place,
        inspected=here.settings.timezone if inspected else None,
        return_to=" ".join(return_to.split()),
        diameter=diameter,
    )
    wishes = Wishes(start, distance, module, boxed, *stock.offset_of(here, printer), stock.every())
    which = {"--all": every, "--places": places, "--unused": unused, "--new": new is not None}
    chosen = stock.found(on, dpi)
    if new is not None:  # what can't be printed reserves nothing
        _laid_out(here, (LabelText(_SAMPLE, ""),), chosen, wishes)
    labels = _chosen(here, items or [], which, new, extras)
    made = _laid_out(here, labels, chosen, wishes)
    _written(here, labels, made, out, printer, verify=verify)


def _chosen(
    here: Workspace, items: list[str], which: dict[str, bool], new: int | None, extras: Extras
) -> tuple[LabelText, ...]:
    from kb.gear import ahead
    from kb.labels import choose

    said = [name for name, wanted in which.items() if wanted] + (["CODE"] if items else [])
    if len(said) > 1:
        message = f"{' and '.join(said)} are two choices. Print one after the other."
        raise InvalidError([Problem("label", message)])
    if new is not None:
        with desk.writing(here) as session:
            drawn = ahead.reserve(session, new, desk.now(here))
            return choose.of_codes(session, drawn)
    with desk.reading(here) as session:
        if which["--all"]:
            return choose.all_items(session, extras)
        if which["--places"]:
            return choose.all_places(session, extras)
        if which["--unused"]:
            return choose.of_codes(session, ahead.unused(session))
        return choose.named(session, items, extras)


def _laid_out(
    here: Workspace, labels: tuple[LabelText, ...], chosen: Stock, wishes: Wishes
) -> Sheet:
    from kb.labels import font, sheet

    with _progress(len(labels), "Laid out") as told:
        return sheet.lay_out(labels, chosen, here.settings.host, font.load(), wishes, told)


def _written(
    here: Workspace,
    labels: tuple[LabelText, ...],
    made: Sheet,
    out: Path,
    printer: str | None,
    *,
    verify: bool,
) -> None:
    from kb.labels import output as files
    from kb.labels import qr

    written = files.write(made, out)
    _keep_host(here)
    for note in made.notes:
        output.say(note)
    where = ", ".join(map(str, written))
    output.say(f"{output.counted(len(labels), 'label')} in {where}. Print at 100 %.")
    output.say(f"They open http://{here.settings.host.upper()}/CODE.")
    for line in (stock.symbols_told(made), qr.doubt(here.settings.host)):
        if line:
            output.say(line)
    if not printer and here.settings.printers:
        output.say("Offsets are kept for some printers (kitlore stock offset): say --printer.")
    if verify:
        _verify(made, written)


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

    count = sum(len(page.symbols) for page in laid.pages)
    with _progress(count, "Read back") as told:
        verdict = verify.read_back(laid, written, told)
    output.say(f"{output.counted(verdict.read, 'symbol')} read back.")
    for line in verdict.unread:
        output.say(line)
    if verdict.unread:
        raise typer.Exit(failures.NO)


@contextmanager
def _progress(count: int, word: str) -> Iterator[Callable[[int], object]]:
    """Show how far it is where somebody waits at a terminal; yield what is told of each step."""
    import sys

    from rich.console import Console
    from rich.progress import Progress

    if count < _MANY or not sys.stderr.isatty():
        yield lambda _done: None
        return
    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(word, total=count)
        yield lambda done: bar.advance(task, done)
