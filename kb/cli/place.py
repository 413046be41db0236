"""`place`: the tree of sites, rooms, racks, drawers and positions."""

from typing import Annotated

import typer

from kb.cli import desk, new_label, output, place_text
from kb.cli.options import At, Json, PlaceName, Seen
from kb.records.kinds import PlaceKind

_Kind = Annotated[PlaceKind | None, typer.Option(help="What it is.")]
_Minute = Annotated[str | None, typer.Option(help="Of a room: what a lost minute costs.")]
_Picture = Annotated[str | None, typer.Option(help="Of a room: '1080p at 50 frames'.")]
_Sound = Annotated[str | None, typer.Option(help="Of a room: '48 kHz'.")]
_Within = Annotated[str | None, typer.Option(help="The place that it lies in.")]


def add_to(app: typer.Typer) -> None:
    """Add the word `place`."""
    group = typer.Typer(help="Where things lie.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("add", add),
        ("change", change),
        ("relabel", new_label.relabel_place),
        ("retire", retire),
        ("merge", merge),
    ):
        group.command(name)(command)
    app.add_typer(group, name="place")


def list_(as_json: Json = False) -> None:
    """List the places as a tree, and how many items lie right in each.

    Example: kitlore place list
    """
    from kb.gear import views

    with desk.reading(desk.chosen()) as session:
        lines = views.place_lines(session)
    if as_json:
        output.as_json(lines)
    else:
        place_text.tree(lines)


def add(
    name: Annotated[str, typer.Argument(help="What the crew calls it.", metavar="NAME")],
    kind: _Kind = None,
    within: _Within = None,
    minute_cost: _Minute = None,
    picture: _Picture = None,
    sound: _Sound = None,
    code: Annotated[str | None, typer.Option(help="On a label printed ahead.")] = None,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Add a place; a code is drawn for its label, or --code taken.

    A position is a place for one item.

    Example: kitlore place add "recorder 3" --kind position --within "rack R1"
    """
    from kb.gear import codes, places

    here = desk.chosen()
    own = {"minute_cost": minute_cost, "picture": picture, "sound": sound}
    values = desk.given(name=name, kind=kind, within=within, **own)
    with desk.writing(here) as session:
        drawn = places.add_place(session, values, desk.done_at(here, at), code=code)
    if as_json:
        output.as_json({"code": drawn})
    else:
        output.say(f"{name} has the code {codes.shown(drawn)}.")


def change(
    place: PlaceName,
    name: Annotated[str | None, typer.Option(help="The new name.")] = None,
    kind: _Kind = None,
    within: _Within = None,
    minute_cost: _Minute = None,
    picture: _Picture = None,
    sound: _Sound = None,
    seen: Seen = None,
) -> None:
    """Change a place, what a room has of its own, or what it lies in.

    An empty --within puts it at the top of the tree; an empty text empties a field.

    Example: kitlore place change "drawer C1" --within "Rack room"
    """
    from kb.gear import places

    own = {"minute_cost": minute_cost, "picture": picture, "sound": sound}
    values = desk.changes(name=name, kind=kind, within=within, **own)
    with desk.writing(desk.chosen()) as session:
        places.change_place(session, place, values, seen)
    output.say(f"{name or place} is changed.")


def retire(place: PlaceName, at: At = None, seen: Seen = None) -> None:
    """Take a place out of use; nothing may lie in it any more.

    Example: kitlore place retire "shelf S3"
    """
    from kb.gear import places

    here = desk.chosen()
    with desk.writing(here) as session:
        places.retire_place(session, place, desk.done_at(here, at), seen)
    output.say(f"{place} is out of use.")


def merge(
    place: PlaceName,
    into: Annotated[str, typer.Argument(help="The place that stays.", metavar="INTO")],
) -> None:
    """Say that two places are one.

    All that lies in the first lies in the second.

    Example: kitlore place merge "drawer 1" "drawer C1"
    """
    from kb.gear import places

    with desk.writing(desk.chosen()) as session:
        places.merge_place(session, place, into)
    output.say(f"{place} is one with {into} now.")
