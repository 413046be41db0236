"""`link`: what joins what, and what hangs up and down the signal path."""

from typing import Annotated

import typer

from kb.cli import desk, link_text, output
from kb.cli.options import At, ItemName, Json, Seen

_Cable = Annotated[str | None, typer.Option(help="The cable's code or name; none: no label.")]
_Port = Annotated[str, typer.Argument(help="The port, as it stands on the gear.", metavar="PORT")]


def add_to(app: typer.Typer) -> None:
    """Add the word `link`."""
    group = typer.Typer(help="What joins what, port to port.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("connect", connect),
        ("disconnect", disconnect),
        ("replace", replace),
        ("change", change),
    ):
        group.command(name)(command)
    app.add_typer(group, name="link")


def list_(item: ItemName, at: At = None, as_json: Json = False) -> None:
    """Show what feeds an item and what it feeds, link by link.

    Example: kitlore link list MM-01 --at "2026-10-31 19:00"
    """
    from kb.gear import paths

    here = desk.chosen()
    when = desk.moment(here, at) if at else None
    with desk.reading(here) as session:
        up = paths.path_up(session, item, when)
        down = paths.path_down(session, item, when)
    if as_json:
        output.as_json({"up": up, "down": down})
    else:
        link_text.show(up, down, here.settings.timezone)


def connect(
    item: Annotated[str, typer.Argument(help="The item that signal comes from.", metavar="FROM")],
    port: _Port,
    to: Annotated[str, typer.Argument(help="The item that it goes to.", metavar="TO")],
    to_port: _Port,
    cable: _Cable = None,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Join two ports; without --cable by a lead that has no label.

    Example: kitlore link connect CC-01 "out 1" MM-01 "in 3" --cable HD-04
    """
    from kb.gear import links

    here = desk.chosen()
    values = desk.given(cable=cable, from_item=item, from_port=port, to_item=to, to_port=to_port)
    with desk.writing(here) as session:
        number = links.connect(session, values, desk.done_at(here, at))
    if as_json:
        output.as_json({"link": number})
    else:
        output.say(f"Link {number}: {item} {port} to {to} {to_port}.")


def disconnect(
    cable: Annotated[str, typer.Argument(help="The cable, or 'link 7'.", metavar="CABLE")],
    at: At = None,
    seen: Seen = None,
) -> None:
    """End a link; what was joined until then stays known.

    Example: kitlore link disconnect HD-04
    """
    from kb.gear import links

    here = desk.chosen()
    with desk.writing(here) as session:
        number = links.disconnect(session, cable, desk.done_at(here, at), seen)
    output.say(f"Link {number} has ended.")


def replace(
    old: Annotated[str, typer.Argument(help="The cable that goes, or 'link 7'.", metavar="OLD")],
    new: Annotated[str, typer.Argument(help="The cable that comes.", metavar="NEW")],
    at: At = None,
    seen: Seen = None,
) -> None:
    """Swap one lead for another between the same ports.

    Example: kitlore link replace HD-04 HD-05
    """
    from kb.gear import links

    here = desk.chosen()
    with desk.writing(here) as session:
        number = links.replace_cable(session, old, new, desk.done_at(here, at), seen)
    output.say(f"Link {number}: {new} in place of {old}.")


def change(
    number: Annotated[int, typer.Argument(help="The link's number.", min=1, metavar="LINK")],
    cable: _Cable = None,
    from_item: Annotated[str | None, typer.Option(help="Where signal comes from.")] = None,
    from_port: Annotated[str | None, typer.Option(help="The port there.")] = None,
    to_item: Annotated[str | None, typer.Option(help="Where it goes to.")] = None,
    to_port: Annotated[str | None, typer.Option(help="The port there.")] = None,
    since: Annotated[str | None, typer.Option(help="From when they were joined.")] = None,
    until: Annotated[str | None, typer.Option(help="Until when; empty: still.")] = None,
    seen: Seen = None,
) -> None:
    """Mend a slip in a link: the wrong cable, port or time.

    Example: kitlore link change 7 --to-port "in 4"
    """
    from kb.gear import links

    here = desk.chosen()
    values = desk.changes(
        cable=cable,
        from_item=from_item,
        from_port=from_port,
        to_item=to_item,
        to_port=to_port,
        since=desk.field_moment(here, since),
        until=desk.field_moment(here, until),
    )
    with desk.writing(here) as session:
        links.change_link(session, number, values, seen)
    output.say(f"Link {number} is changed.")
