"""`loan`: what is away, with whom, and when it's due back."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import At, ItemName, Json, Seen

_Due = Annotated[str | None, typer.Option(help="The day it's due back.")]
_Note = Annotated[str | None, typer.Option(help="Anything else.")]


def add_to(app: typer.Typer) -> None:
    """Add the word `loan`."""
    group = typer.Typer(help="What is away, and with whom.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("lend", lend),
        ("back", back),
        ("change", change),
    ):
        group.command(name)(command)
    app.add_typer(group, name="loan")


def list_(
    item: Annotated[str | None, typer.Option(help="Every loan of this item.")] = None,
    overdue: Annotated[bool, typer.Option("--overdue", help="Only what is overdue.")] = False,
    as_json: Json = False,
) -> None:
    """List what is away, or every loan of one item.

    Example: kitlore loan list --overdue
    """
    from kb.gear import loans

    here = desk.chosen()
    with desk.reading(here) as session:
        if item is not None:
            found = loans.loans_of(session, item)
        else:
            found = loans.open_loans(session, desk.day(here) if overdue else None)
    if as_json:
        output.as_json(found)
        return
    zone = here.settings.timezone
    output.table(
        (">No", "Item", "With", "Out", "Due", "Back"),
        [
            (
                one.number,
                one.name,
                one.borrower,
                output.day(one.out_at, zone),
                one.due,
                output.local(one.back_at, zone),
            )
            for one in found
        ],
        "Nothing is overdue." if overdue else "Never lent." if item else "Nothing is away.",
    )


def lend(
    item: ItemName,
    borrower: Annotated[str, typer.Argument(help="Who takes it.", metavar="BORROWER")],
    due: _Due = None,
    note: _Note = None,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Lend an item.

    Example: kitlore loan lend MM-02 "the school" --due 2026-12-04
    """
    from kb.gear import loans

    here = desk.chosen()
    values = desk.given(borrower=borrower, due=due, note=note)
    with desk.writing(here) as session:
        number = loans.lend(session, item, values, desk.done_at(here, at))
    if as_json:
        output.as_json({"loan": number})
    else:
        output.say(f"Loan {number}: {item} is with {borrower}.")


def back(item: ItemName, at: At = None, seen: Seen = None) -> None:
    """Take an item back.

    Example: kitlore loan back MM-02
    """
    from kb.gear import loans

    here = desk.chosen()
    with desk.writing(here) as session:
        number = loans.take_back(session, item, desk.done_at(here, at), seen)
    output.say(f"{item} is back (loan {number}).")


def change(
    number: Annotated[int, typer.Argument(help="The loan's number.", min=1, metavar="LOAN")],
    item: Annotated[str | None, typer.Option(help="The right item.")] = None,
    borrower: Annotated[str | None, typer.Option(help="Who has it.")] = None,
    due: _Due = None,
    out: Annotated[str | None, typer.Option(help="When it went out.")] = None,
    back: Annotated[str | None, typer.Option(help="When it came back; empty: away.")] = None,
    note: _Note = None,
    seen: Seen = None,
) -> None:
    """Mend a loan: another day due, the wrong item or time.

    Example: kitlore loan change 3 --due 2026-12-11
    """
    from kb.gear import loans

    here = desk.chosen()
    values = desk.changes(
        item=item,
        borrower=borrower,
        due=due,
        out_at=desk.field_moment(here, out),
        back_at=desk.field_moment(here, back),
        note=note,
    )
    with desk.writing(here) as session:
        loans.change_loan(session, number, values, seen)
    output.say(f"Loan {number} is changed.")
