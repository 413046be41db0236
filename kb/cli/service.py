"""`service`: what was done to which items, and what is due again."""

from typing import Annotated

import typer

from kb.cli import desk, output, service_text
from kb.cli.options import At, ItemName, Json, Limit, Seen
from kb.records.kinds import ServiceKind

Number = Annotated[int, typer.Argument(help="The service's number.", min=1, metavar="SERVICE")]
_Tester = Annotated[str | None, typer.Option(help="Who did it.")]
_Cost = Annotated[str | None, typer.Option(help="What it cost, like 980 or 12.50.")]
_NextDue = Annotated[str | None, typer.Option("--next-due", help="The day it's due again.")]
_Fault = Annotated[str | None, typer.Option(help="The number of the fault it answers.")]


def add_to(app: typer.Typer) -> None:
    """Add the word `service`."""
    group = typer.Typer(help="Inspections, repairs, firmware, cleaning.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("see", see),
        ("due", due),
        ("add", add),
        ("change", change),
    ):
        group.command(name)(command)
    app.add_typer(group, name="service")


def list_(
    item: ItemName,
    limit: Limit = 30,
    as_json: Json = False,
) -> None:
    """List the services of an item, the newest first.

    Example: kitlore service list UP-01
    """
    from kb.gear import upkeep

    here = desk.chosen()
    with desk.reading(here) as session:
        found = upkeep.services_of(session, item, limit)
    if as_json:
        output.as_json(found)
    else:
        service_text.lines(found, here.settings.timezone)


def see(number: Number, as_json: Json = False) -> None:
    """Show a service with every item of it.

    Example: kitlore service see 12
    """
    from kb.gear import upkeep

    here = desk.chosen()
    with desk.reading(here) as session:
        found = upkeep.service_by(session, number)
    if as_json:
        output.as_json(found)
    else:
        service_text.page(found, here.settings)


def due(
    until: Annotated[str | None, typer.Option(help="Due up to this day; else today.")] = None,
    as_json: Json = False,
) -> None:
    """List what is due again, the longest due first.

    Example: kitlore service due --until 2026-12-31
    """
    from kb.gear import upkeep

    here = desk.chosen()
    day = desk.day(here, until)
    with desk.reading(here) as session:
        found = upkeep.due(session, day)
    if as_json:
        output.as_json(found)
    else:
        service_text.due(found, day)


def add(
    kind: Annotated[ServiceKind, typer.Argument(help="What it was.", metavar="KIND")],
    work: Annotated[str, typer.Argument(help="What was done, in words.", metavar="WORK")],
    items: Annotated[
        list[str],
        typer.Argument(help="Each item, with what was found: CC-01=pass.", metavar="CODE=RESULT"),
    ],
    tester: _Tester = None,
    cost: _Cost = None,
    next_due: _NextDue = None,
    fault: _Fault = None,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Record what was done to one item or several.

    KIND is inspection, repair, firmware, cleaning, test or modification; RESULT is pass,
    fail or marginal, and may be left out.

    Example: kitlore service add inspection "flexed" HD-04=pass HD-05=fail
    """
    from kb.gear import upkeep

    here = desk.chosen()
    values = desk.given(
        kind=kind,
        work=work,
        items=",".join(items),
        tester=tester,
        cost=cost,
        next_due=next_due,
        fault=fault,
    )
    with desk.writing(here) as session:
        number = upkeep.add_service(session, values, desk.done_at(here, at))
    if as_json:
        output.as_json({"service": number})
    else:
        output.say(f"Service {number}: {kind.value} of {', '.join(items)}.")


def change(
    number: Number,
    kind: Annotated[ServiceKind | None, typer.Option(help="What it was.")] = None,
    work: Annotated[str | None, typer.Option(help="What was done.")] = None,
    item: Annotated[
        list[str] | None, typer.Option(help="All its items, each like CC-01=pass.")
    ] = None,
    tester: _Tester = None,
    cost: _Cost = None,
    next_due: _NextDue = None,
    fault: _Fault = None,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Mend a service; items that are named no more are taken out of it.

    Example: kitlore service change 12 --item HD-04=pass --item HD-05=marginal
    """
    from kb.gear import upkeep

    here = desk.chosen()
    values = desk.changes(
        kind=kind,
        work=work,
        items=",".join(item) if item else None,
        tester=tester,
        cost=cost,
        next_due=next_due,
        fault=fault,
        at=desk.done_at(here, at) if at else None,
    )
    with desk.writing(here) as session:
        upkeep.change_service(session, number, values, desk.now(here), seen)
    output.say(f"Service {number} is changed.")
