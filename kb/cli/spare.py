"""`spare`: how many must lie ready, and how many do."""

from collections.abc import Sequence
from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import At, Json, Seen

Rule = Annotated[str, typer.Argument(help="The rule's name.", metavar="NAME")]
_Models = Annotated[
    list[str] | None, typer.Option("--model", help="A model that serves; again for more.")
]
_Place = Annotated[str | None, typer.Option(help="Where they must lie; else anywhere.")]
_OnHand = Annotated[
    str | None, typer.Option("--on-hand", help="Counted by hand, for what has no labels.")
]
_Rate = Annotated[
    str | None, typer.Option("--needed-rate", help="What a drive must write: '182 MB/s'.")
]


def add_to(app: typer.Typer) -> None:
    """Add the word `spare`."""
    group = typer.Typer(help="How many must lie ready, and how many do.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("set", set_),
        ("change", change),
        ("remove", remove),
    ):
        group.command(name)(command)
    app.add_typer(group, name="spare")


def list_(
    short: Annotated[bool, typer.Option("--short", help="Only what is short.")] = False,
    at: At = None,
    as_json: Json = False,
) -> None:
    """List the rules, how many lie ready by each, and what is short.

    Example: kitlore spare list --short
    """
    from kb.gear import spares

    here = desk.chosen()
    when = desk.moment(here, at)
    with desk.reading(here) as session:
        found = spares.short(session, when) if short else spares.spares(session, when)
    if as_json:
        output.as_json(found)
        return
    output.table(
        ("Name", ">Ready", ">Wanted", ">Short", "Place", "Of"),
        [
            (
                one.name,
                one.ready,
                one.minimum,
                max(0, one.minimum - one.ready) or "",
                one.place,
                "counted by hand" if one.on_hand is not None else ", ".join(one.models),
            )
            for one in found
        ],
        "Nothing is short." if short else "No rule yet. Add one: kitlore spare set --help",
    )


def set_(
    name: Rule,
    minimum: Annotated[str, typer.Argument(help="How many must lie ready.", metavar="COUNT")],
    model: _Models = None,
    place: _Place = None,
    on_hand: _OnHand = None,
    needed_rate: _Rate = None,
) -> None:
    """Say how many of some models must lie ready, and where.

    Example: kitlore spare set "HDMI leads" 6 --model "Stout 2" --place C1
    """
    from kb.gear import spares

    values = desk.given(
        name=name,
        minimum=minimum,
        models=_named(model),
        place=place,
        on_hand=on_hand,
        needed_rate=needed_rate,
    )
    with desk.writing(desk.chosen()) as session:
        spares.set_spare(session, values)
    output.say(f"{minimum} of '{name}' must lie ready.")


def change(
    rule: Rule,
    name: Annotated[str | None, typer.Option(help="The new name.")] = None,
    minimum: Annotated[str | None, typer.Option(help="How many must lie ready.")] = None,
    model: _Models = None,
    place: _Place = None,
    on_hand: _OnHand = None,
    needed_rate: _Rate = None,
    seen: Seen = None,
) -> None:
    """Change a rule, or count again by hand.

    --model names all models that serve.

    Example: kitlore spare change "gaffer tape" --on-hand 4
    """
    from kb.gear import spares

    here = desk.chosen()
    values = desk.changes(
        name=name,
        minimum=minimum,
        models=_named(model),
        place=place,
        on_hand=on_hand,
        needed_rate=needed_rate,
    )
    with desk.writing(here) as session:
        spares.change_spare(session, rule, values, desk.now(here), seen)
    output.say(f"The rule '{name or rule}' is changed.")


def remove(rule: Rule, seen: Seen = None) -> None:
    """Take a rule out of use; it stays on record.

    Example: kitlore spare remove "HDMI leads"
    """
    from kb.gear import spares

    here = desk.chosen()
    with desk.writing(here) as session:
        spares.remove_spare(session, rule, desk.now(here), seen)
    output.say(f"The rule '{rule}' is out of use.")


def _named(models: Sequence[str] | None) -> tuple[str, ...] | None:
    """Return the models that were named; a single empty text is none at all."""
    return None if not models else tuple(one for one in models if one.strip())
