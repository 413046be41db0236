"""`person`: who keeps the records."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json, Seen
from kb.records.kinds import Role

Name = Annotated[str, typer.Argument(help="Initials or a short name.", metavar="NAME")]


def add_to(app: typer.Typer) -> None:
    """Add the word `person`."""
    group = typer.Typer(help="The people who keep the records.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("add", add),
        ("change", change),
        ("merge", merge),
        ("forget", forget),
    ):
        group.command(name)(command)
    app.add_typer(group, name="person")


def list_(as_json: Json = False) -> None:
    """List the people.

    Example: kitlore person list
    """
    from kb.crew import people

    with desk.reading(desk.chosen()) as session:
        lines = people.people(session)
    if as_json:
        output.as_json(lines)
        return
    rows = [(one.name, one.role, one.version) for one in lines]
    output.table(
        ("Name", "Role", ">Version"), rows, "Nobody yet. Add one: kitlore person add NAME"
    )


def add(
    name: Name, role: Annotated[Role, typer.Option(help="What they may do.")] = Role.TECH
) -> None:
    """Add a person.

    Example: kitlore person add J.P. --role lead
    """
    from kb.crew import people

    with desk.writing(desk.chosen()) as session:
        people.add_person(session, {"name": name, "role": role})
    output.say(f"{name} is known as {role.value}.")


def change(
    name: Name,
    new_name: Annotated[str | None, typer.Option("--name", help="The new name.")] = None,
    role: Annotated[Role | None, typer.Option(help="The new role.")] = None,
    seen: Seen = None,
) -> None:
    """Change a person's name or role.

    Example: kitlore person change S.L. --role tech
    """
    from kb.crew import people

    values = desk.changes(name=new_name, role=role)
    with desk.writing(desk.chosen()) as session:
        line = people.change_person(session, name, values, seen)
    output.say(f"{line.name}: {line.role}.")


def merge(
    name: Name, into: Annotated[str, typer.Argument(help="The name that stays.", metavar="INTO")]
) -> None:
    """Say that two names are one person.

    Example: kitlore person merge JP J.P.
    """
    from kb.crew import people

    with desk.writing(desk.chosen()) as session:
        people.merge_person(session, name, into)
    output.say(f"What {name} wrote stands under {into} now.")


def forget(name: Name) -> None:
    """Take a person's name out of every record.

    What they did stays, under a number.

    Example: kitlore person forget S.V.
    """
    from kb.crew import people

    with desk.writing(desk.chosen()) as session:
        blank = people.forget_person(session, name)
    output.say(f"{name} is forgotten; '{blank}' stands in their place.")
