"""A new label for an item or a place."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import At, ItemName, PlaceName, Seen

_New = Annotated[str, typer.Argument(help="The code on the new label.", metavar="NEW")]


def relabel(
    item: ItemName,
    code: _New,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Give an item a new label; its old one still leads to it.

    Example: kitlore item relabel CC-09 K7M4XV
    """
    from kb.gear import ahead

    here = desk.chosen()
    with desk.writing(here) as session:
        ahead.relabel(session, item, code, desk.moment(here, at), seen)
    _told(item, code)


def relabel_place(
    place: PlaceName,
    code: _New,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Give a place a new label; its old one still leads to it.

    Example: kitlore place relabel "Rack room/R1" K7M4XV
    """
    from kb.gear import ahead

    here = desk.chosen()
    with desk.writing(here) as session:
        ahead.relabel_place(session, place, code, desk.moment(here, at), seen)
    _told(place, code)


def _told(name: str, code: str) -> None:
    from kb.gear import codes

    output.say(f"{name} has the code {codes.shown(codes.read(code))}. Its old label leads to it.")
