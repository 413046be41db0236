"""`history`: who changed a record, when, from what to what."""

import re
from collections.abc import Callable, Iterable
from typing import Annotated, Any
from zoneinfo import ZoneInfo

import typer

from kb.cli import desk, output
from kb.cli.options import Json
from kb.errors import InvalidError, NotFoundError, Problem

# What goes by its number, and its table.
_NUMBERED = {
    "fault": "fault",
    "attempt": "attempt",
    "link": "link",
    "show": "show",
    "service": "service",
    "loan": "loan",
    "test": "drive_test",
}
_NUMBER = re.compile("[0-9]{1,9}")


def add_to(app: typer.Typer) -> None:
    """Add the word `history`."""
    app.command("history")(history)


def history(
    kind: Annotated[str, typer.Argument(help="item, fault, entry ...", metavar="KIND")],
    name: Annotated[str, typer.Argument(help="Its code, name, slug or number.", metavar="NAME")],
    as_json: Json = False,
) -> None:
    """Show every change of a record: who, when, from, to.

    KIND is item, model, place, entry or person, which go by their name; or fault, attempt,
    link, show, service, loan or test (of a drive), which go by their number.

    Example: kitlore history item CC-01
    """
    from kb.records import journal

    place = desk.chosen()
    table = _NUMBERED.get(kind, kind)
    with desk.reading(place) as session:
        steps = journal.readable(session, journal.steps(session, table, _key(session, kind, name)))
    if not steps:
        raise NotFoundError(kind, name, "Look its number up again.")
    if as_json:
        output.as_json(steps)
    else:
        _show(steps, place.settings.timezone)


def _show(steps: Iterable[Any], zone: ZoneInfo) -> None:
    from kb.records import naming

    for step in steps:
        output.emphasised(f"{output.local(step.at, zone)}  {step.who} ({step.device})")
        for field, old, new in naming.words(step.changes, zone):
            output.say(f"{field}: {f'{old} -> ' if old else ''}{new}", "  ")


def _key(session: Any, kind: str, name: str) -> int:  # noqa: ANN401 - late import
    """Return the key of a record in its table."""
    from kb.crew import people
    from kb.entries import library
    from kb.faults import log
    from kb.gear import lookup

    named: dict[str, Callable[[Any, str], Any]] = {
        "item": lookup.item,
        "model": lookup.model,
        "place": lookup.place,
        "entry": library.entry_by,
        "person": people.person_by,
    }
    if kind in named:
        return int(named[kind](session, name).key)
    if kind not in _NUMBERED:
        known = ", ".join((*named, *_NUMBERED))
        raise InvalidError([Problem("kind", f"'{kind}' is none of {known}.")])
    if not _NUMBER.fullmatch(name):
        raise InvalidError([Problem("name", f"a {kind} goes by its number.")])
    return log.fault_by(session, int(name)).key if kind == "fault" else int(name)
