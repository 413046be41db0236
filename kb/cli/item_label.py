"""A new label for an item."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import At, ItemName, Seen


def relabel(
    item: ItemName,
    code: Annotated[str, typer.Argument(help="The code on the new label.", metavar="NEW")],
    at: At = None,
    seen: Seen = None,
) -> None:
    """Give an item a new label; its old one still leads to it.

    Example: kitlore item relabel CC-09 K7M4XV
    """
    from kb.gear import ahead, codes

    here = desk.chosen()
    with desk.writing(here) as session:
        ahead.relabel(session, item, code, desk.moment(here, at), seen)
    output.say(f"{item} has the code {codes.shown(codes.read(code))}. Its old label leads to it.")
