"""`drive`: the sustained write speed, measured from time to time."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import At, ItemName, Json, Seen

_Note = Annotated[str | None, typer.Option(help="Anything else.")]
_MEGA = 1_000_000


def add_to(app: typer.Typer) -> None:
    """Add the word `drive`."""
    group = typer.Typer(help="How fast a drive writes.", no_args_is_help=True)
    for name, command in (("list", list_), ("test", measure), ("change", change)):
        group.command(name)(command)
    app.add_typer(group, name="drive")


def list_(item: ItemName, as_json: Json = False) -> None:
    """List what the tests of a drive measured, the newest first.

    Example: kitlore drive list DR-01
    """
    from kb.gear import drives

    here = desk.chosen()
    with desk.reading(here) as session:
        found = drives.tests_of(session, item)
    if as_json:
        output.as_json(found)
        return
    zone = here.settings.timezone
    output.table(
        (">No", "When", ">MB/s", "Note"),
        [
            (one.number, output.local(one.at, zone), f"{one.write_rate / _MEGA:.4g}", one.note)
            for one in found
        ],
        "It was never tested.",
    )


def measure(
    item: ItemName,
    rate: Annotated[
        str, typer.Argument(help="What it wrote for minutes on end: '182 MB/s'.", metavar="RATE")
    ],
    note: _Note = None,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Record how fast a drive was written to.

    Example: kitlore drive test DR-01 "182 MB/s"
    """
    from kb.gear import drives

    here = desk.chosen()
    with desk.writing(here) as session:
        number = drives.add_test(session, item, rate, desk.done_at(here, at), note)
    if as_json:
        output.as_json({"test": number})
    else:
        output.say(f"Test {number}: {item} wrote {rate}.")


def change(
    number: Annotated[int, typer.Argument(help="The test's number.", min=1, metavar="TEST")],
    item: Annotated[str | None, typer.Option(help="The right drive.")] = None,
    rate: Annotated[str | None, typer.Option(help="What it wrote: '182 MB/s'.")] = None,
    at: At = None,
    note: _Note = None,
    seen: Seen = None,
) -> None:
    """Mend a slip in a test: the wrong drive scanned, a digit too many.

    Example: kitlore drive change 9 --rate "128 MB/s"
    """
    from kb.gear import drives

    here = desk.chosen()
    values = desk.changes(
        item=item, write_rate=rate, at=desk.done_at(here, at) if at else None, note=note
    )
    with desk.writing(here) as session:
        drives.change_test(session, number, values, seen)
    output.say(f"Test {number} is changed.")
