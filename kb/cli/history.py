"""`history`: who changed a record, when, from what to what."""

from collections.abc import Callable
from typing import Annotated, Any

import typer

from kb.cli import desk, output
from kb.cli.options import Json
from kb.errors import InvalidError, Problem


def add_to(app: typer.Typer) -> None:
    """Add the word `history`."""
    app.command("history")(history)


def history(
    kind: Annotated[
        str,
        typer.Argument(help="item, model, place, fault, entry, person, show ...", metavar="KIND"),
    ],
    name: Annotated[str, typer.Argument(help="Its code, name, slug or number.", metavar="NAME")],
    as_json: Json = False,
) -> None:
    """Show every change of a record: who, when, from, to.

    Example: kitlore history item CC-01
    """
    from kb.records import journal

    place = desk.chosen()
    with desk.reading(place) as session:
        steps = journal.steps(session, kind, _key(session, kind, name))
    if as_json:
        output.as_json(steps)
        return
    zone = place.settings.timezone
    for step in steps:
        output.emphasised(f"{output.local(step.at, zone)}  {step.who} ({step.device})")
        for column, (old, new) in step.changes.items():
            told = "" if old is None else f"{old} -> "
            output.say(
                f"{column.replace('_', ' ')}: {told}{'nothing' if new is None else new}", "  "
            )
    if not steps:
        output.say("Nothing is known of that.")


def _key(session: Any, kind: str, name: str) -> int:  # noqa: ANN401 - late import
    """Return the key of a record in its table."""
    from kb.crew import people
    from kb.entries import library
    from kb.faults import log
    from kb.gear import lookup

    by_name: dict[str, Callable[[], Any]] = {
        "item": lambda: lookup.item(session, name),
        "model": lambda: lookup.model(session, name),
        "place": lambda: lookup.place(session, name),
        "entry": lambda: library.entry_by(session, name),
        "person": lambda: people.person_by(session, name),
    }
    if kind in by_name:
        return int(by_name[kind]().key)
    if not name.isdigit():
        raise InvalidError([Problem("name", f"a {kind} goes by its number.")])
    return log.fault_by(session, int(name)).key if kind == "fault" else int(name)
