"""`model`: the makes and models that items share."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json, Seen

Model = Annotated[
    str, typer.Argument(help="Its name, the maker's before it where needed.", metavar="MODEL")
]
_Class = Annotated[
    str | None,
    typer.Option("--class", help="The class of equipment: cable, recorder ..."),
]
_Data = Annotated[
    str | None, typer.Option("--data", help="Technical data: 'length=3 m, plug=type A'.")
]


def add_to(app: typer.Typer) -> None:
    """Add the word `model`."""
    group = typer.Typer(help="The makes and models that items share.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("add", add),
        ("change", change),
        ("merge", merge),
    ):
        group.command(name)(command)
    app.add_typer(group, name="model")


def list_(as_json: Json = False) -> None:
    """List the models in use, and how many items there are of each.

    Example: kitlore model list
    """
    from kb.gear import views

    with desk.reading(desk.chosen()) as session:
        lines = views.model_lines(session)
    if as_json:
        output.as_json(lines)
        return
    output.table(
        ("Maker", "Model", "Class", ">Items", "Data", ">Version"),
        [
            (
                one.maker,
                one.name,
                one.equipment_class,
                one.items,
                output.pairs(one.technical),
                one.version,
            )
            for one in lines
        ],
        "No model yet. Add one: kitlore model add --help",
    )


def add(
    maker: Annotated[str, typer.Argument(help="Who makes it.", metavar="MAKER")],
    name: Annotated[str, typer.Argument(help="What the maker calls it.", metavar="NAME")],
    equipment_class: _Class = None,
    data: _Data = None,
    as_json: Json = False,
) -> None:
    """Add a model.

    Example: kitlore model add Yelkarn "Stout 2" --class cable --data "plug=A"
    """
    from kb.gear import models

    values = desk.given(maker=maker, name=name, equipment_class=equipment_class, technical=data)
    with desk.writing(desk.chosen()) as session:
        whole = models.add_model(session, values)
    if as_json:
        output.as_json({"model": whole})
    else:
        output.say(f"{whole} is known.")


def change(
    model: Model,
    maker: Annotated[str | None, typer.Option(help="Who makes it.")] = None,
    name: Annotated[str | None, typer.Option(help="The new name.")] = None,
    equipment_class: _Class = None,
    data: _Data = None,
    seen: Seen = None,
) -> None:
    """Change a model; --data takes the place of all technical data.

    Example: kitlore model change "Ribbonet 3" --data "length=3 m, plug=type A"
    """
    from kb.gear import models

    values = desk.changes(maker=maker, name=name, equipment_class=equipment_class, technical=data)
    with desk.writing(desk.chosen()) as session:
        models.change_model(session, model, values, seen)
    output.say(f"{name or model} is changed.")


def merge(
    model: Model,
    into: Annotated[str, typer.Argument(help="The model that stays.", metavar="INTO")],
) -> None:
    """Say that two models are one.

    All items of the first become items of the second.

    Example: kitlore model merge "Ribonet 3" "Ribbonet 3"
    """
    from kb.gear import models

    here = desk.chosen()
    with desk.writing(here) as session:
        models.merge_model(session, model, into, desk.now(here))
    output.say(f"{model} is one with {into} now.")
