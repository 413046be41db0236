"""`show`: recording dates, and the minutes to air."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from kb.cli import desk, failures, output, show_text
from kb.cli.options import Json, Seen
from kb.records.kinds import ShowKind
from kb.records.workspace import Workspace

Number = Annotated[int, typer.Argument(help="The show's number.", min=1, metavar="SHOW")]
_Kind = Annotated[ShowKind | None, typer.Option(help="What it is.")]
_Place = Annotated[str | None, typer.Option(help="Where.")]
_Air = "When it goes on air: 20:00 (today) or 2026-11-07 20:00."
_SetUp = Annotated[str | None, typer.Option(help="From when the crew sets up.")]
_Ends = Annotated[str | None, typer.Option(help="When it ends.")]
_FOREVER = datetime.max.replace(tzinfo=UTC)


def add_to(app: typer.Typer) -> None:
    """Add the word `show`."""
    group = typer.Typer(help="Recording dates.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("next", next_),
        ("add", add),
        ("change", change),
        ("cancel", cancel),
        ("reinstate", reinstate),
    ):
        group.command(name)(command)
    app.add_typer(group, name="show")


def list_(
    since: Annotated[
        str | None, typer.Option("--from", help="From this day or time; else today.")
    ] = None,
    until: Annotated[str | None, typer.Option(help="Up to, not including, this.")] = None,
    cancelled: Annotated[bool, typer.Option("--cancelled", help="Those called off, too.")] = False,
    as_json: Json = False,
) -> None:
    """List the shows to come, or those of a time.

    Example: kitlore show list --from 2026-10-01 --until 2026-11-01
    """
    from kb.gear import shows

    here = desk.chosen()
    today = output.day(desk.now(here), here.settings.timezone)
    first = desk.moment(here, since or today)
    last = desk.moment(here, until) if until else _FOREVER
    with desk.reading(here) as session:
        found = shows.shows(session, first, last, cancelled=cancelled)
    if as_json:
        output.as_json(found)
    else:
        show_text.lines(found, here.settings.timezone)


def next_(as_json: Json = False) -> None:
    """Show the next show and the minutes to air.

    Exit code 1 where none is planned.

    Example: kitlore show next
    """
    from kb.gear import shows

    here = desk.chosen()
    now = desk.now(here)
    with desk.reading(here) as session:
        found = shows.next_show(session, now)
        minutes = shows.minutes_to_air(session, now)
    if as_json:
        output.as_json({"show": found, "minutes_to_air": minutes})
    else:
        show_text.next_one(found, minutes, here.settings.timezone)
    if found is None:
        raise typer.Exit(failures.NO)


def add(
    title: Annotated[str, typer.Argument(help="What it's called.", metavar="TITLE")],
    air: Annotated[str, typer.Option(help=_Air)],
    set_up: _SetUp = None,
    ends: _Ends = None,
    kind: _Kind = None,
    place: _Place = None,
    as_json: Json = False,
) -> None:
    """Plan a show; times of day without a date are on the day of air.

    Example: kitlore show add "Panel 62" --air "2026-11-26 20:00" --set-up 15:00
    """
    from kb.gear import shows

    here = desk.chosen()
    air_at = desk.moment(here, air)
    values = desk.given(title=title, kind=kind, place=place, air_at=air_at)
    with desk.writing(here) as session:
        number = shows.add_show(session, values | _around(here, air_at, set_up, ends))
    if as_json:
        output.as_json({"show": number})
    else:
        output.say(f"Show {number}: {title}, {output.local(air_at, here.settings.timezone)}.")


def change(
    number: Number,
    title: Annotated[str | None, typer.Option(help="The new title.")] = None,
    air: Annotated[str | None, typer.Option(help=_Air)] = None,
    set_up: _SetUp = None,
    ends: _Ends = None,
    kind: _Kind = None,
    place: _Place = None,
    seen: Seen = None,
) -> None:
    """Change a show; an empty text empties a field.

    Example: kitlore show change 62 --air "2026-11-26 20:30" --ends 22:30
    """
    from kb.gear import shows

    here = desk.chosen()
    desk.changes(title=title, air=air, set_up=set_up, ends=ends, kind=kind, place=place)
    with desk.writing(here) as session:
        air_at = desk.moment(here, air) if air else shows.show_by(session, number).air_at
        values = desk.given(title=title, kind=kind, place=place, air_at=air_at)
        shows.change_show(session, number, values | _around(here, air_at, set_up, ends), seen)
    output.say(f"Show {number} is changed.")


def cancel(number: Number, seen: Seen = None) -> None:
    """Call a show off; it stays on record.

    Example: kitlore show cancel 62
    """
    from kb.gear import shows

    here = desk.chosen()
    with desk.writing(here) as session:
        shows.cancel_show(session, number, desk.now(here), seen)
    output.say(f"Show {number} is called off.")


def reinstate(number: Number, seen: Seen = None) -> None:
    """Put a show that was called off back on the plan.

    Example: kitlore show reinstate 62
    """
    from kb.gear import shows

    with desk.writing(desk.chosen()) as session:
        shows.reinstate_show(session, number, seen)
    output.say(f"Show {number} stands again.")


def _around(
    here: Workspace, air_at: datetime, set_up: str | None, ends: str | None
) -> dict[str, Any]:
    """Return set-up and end as typed: a time of day alone is on the day of air."""
    return desk.given(
        set_up_from=desk.field_moment(here, set_up, air_at),
        ends_at=desk.field_moment(here, ends, air_at),
    )
