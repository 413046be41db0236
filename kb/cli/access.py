"""`access`: who gets in from the crew's network."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json
from kb.records.kinds import Role, Strangers
from kb.records.workspace import Workspace

Name = Annotated[str, typer.Argument(help="In whose name.", metavar="NAME")]
Device = Annotated[str | None, typer.Option(help="What it is called.")]


def add_to(app: typer.Typer) -> None:
    """Add the word `access`."""
    group = typer.Typer(help="Who gets in from the crew's network.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("pair", pair),
        ("script", script),
        ("calendar", calendar),
        ("end", end),
        ("strangers", strangers),
    ):
        group.command(name)(command)
    app.add_typer(group, name="access")


def list_(as_json: Json = False) -> None:
    """List the phones, scripts and calendars that are let in.

    Example: kitlore access list
    """
    from kb.crew import feeds, pairings

    place = desk.chosen()
    with desk.reading(place) as session:
        lines = pairings.pairings(session, desk.now(place))
        calendars = feeds.feeds(session)
    if as_json:
        output.as_json([*lines, *calendars])
        return
    zone = place.settings.timezone
    rows = [
        (
            one.number,
            one.device,
            one.person,
            one.role,
            f"{one.last_used.astimezone(zone):%Y-%m-%d %H:%M}" if one.last_used else "",
            f"{one.expires.astimezone(zone):%Y-%m-%d}",
        )
        for one in lines
    ]
    heads = (">Number", "Called", "Whose", "Role", "Last used", "Until")
    output.table(heads, rows, "None yet. Let one in: kitlore access pair NAME")
    for one in calendars:
        read = f"{one.last_used.astimezone(zone):%Y-%m-%d %H:%M}" if one.last_used else "never"
        output.say(f"Calendar {one.number}, {one.device}: {one.person}; last read {read}.")


def pair(name: Name, device: Device = None) -> None:
    """Show a symbol that lets one phone in, within two minutes.

    Example: kitlore access pair J.P. --device "the red one"
    """
    from kb.cli import qr_text
    from kb.crew import pairings

    place = desk.chosen()
    values = desk.given(person=name, device=device)
    with desk.writing(place) as session:
        offer = pairings.offer(session, values, desk.now(place))
    address = f"http://{_host(place)}/pair?ticket={offer.ticket}"
    qr_text.show(address)
    until = offer.until.astimezone(place.settings.timezone)
    output.say(f"Scan it with the phone of {offer.person} until {until:%H:%M:%S}.")
    output.say(address)


def script(
    name: Name,
    device: Annotated[str, typer.Option(help="What the script is called.")],
    role: Annotated[Role, typer.Option(help="What it may do.")] = Role.READER,
) -> None:
    """Let a script in, and print once the token that it sends.

    Example: kitlore access script J.P. --device "wall clock"
    """
    from kb.crew import pairings

    place = desk.chosen()
    values = {"person": name, "device": device, "role": role}
    with desk.writing(place) as session:
        made = pairings.add_script(session, values, desk.now(place))
    output.say(f"Authorization: Bearer {made.secret}")


def calendar(
    name: Name,
    device: Annotated[str, typer.Option(help="What the calendar is called.")],
    place: Annotated[str | None, typer.Option(help="The room whose shows it tells.")] = None,
) -> None:
    """Let a calendar read the shows, and print its address once.

    Example: kitlore access calendar J.P. --device wall --place "Studio floor"
    """
    from kb.crew import feeds
    from kb.gear import lookup

    here = desk.chosen()
    values = {"person": name, "device": device}
    with desk.writing(here) as session:
        within = lookup.place(session, place).key if place else None
        made = feeds.add_feed(session, values, desk.now(here), within)
    output.say(f"http://{here.settings.host}/feed/{made.key}.ics")


def end(
    number: Annotated[int, typer.Argument(help="As 'kitlore access list' tells it.")],
    feed: Annotated[bool, typer.Option("--calendar", help="It's a calendar's number.")] = False,
) -> None:
    """End a pairing or a calendar's address at once.

    Example: kitlore access end 3
    """
    from kb.crew import feeds, pairings

    act = feeds.end_feed if feed else pairings.end_pairing
    with desk.writing(desk.chosen()) as session:
        called = act(session, number)
    output.say(f"{called} is let in no more.")


def strangers(
    may: Annotated[Strangers, typer.Argument(help="What they may do.", metavar="MAY")],
) -> None:
    """Say what phones may do that nobody let in.

    Example: kitlore access strangers "report a fault"
    """
    from kb.crew import admission

    with desk.writing(desk.chosen()) as session:
        admission.admit_strangers(session, may)
    output.say(f"Phones that nobody let in may do this: {may.value}.")


def _host(place: Workspace) -> str:
    """Return the host and port by which a phone reaches the pages."""
    from kb.crew import hosts
    from kb.records import serving

    found = serving.running(place)
    return hosts.shown_host(place.settings.host, found.port if found else 8017)
