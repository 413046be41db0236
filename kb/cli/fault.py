"""`fault`: look, try, close, blame, reopen; slips are mended in `kb.cli.slip`."""

from typing import Annotated

import typer

from kb.cli import desk, fault_text, output, slip
from kb.cli.fault_options import Blamed, EntrySlug, Kind, Minutes, Note, Number
from kb.cli.options import At, Json, Limit, Seen
from kb.errors import InvalidError, Problem
from kb.records.kinds import FaultState, Outcome


def add_to(app: typer.Typer) -> None:
    """Add the word `fault`."""
    group = typer.Typer(help="Faults: try, close, reopen, correct.", no_args_is_help=True)
    group.command("list")(list_)
    group.command("see")(see)
    group.command("try")(try_)
    group.command("close")(close)
    group.command("blame")(blame)
    group.command("reopen")(reopen)
    slip.add_to(group)
    app.add_typer(group, name="fault")


def list_(
    state: Annotated[FaultState | None, typer.Option(help="Only these.")] = None,
    item: Annotated[str | None, typer.Option(help="Only of this item.")] = None,
    limit: Limit = 30,
    as_json: Json = False,
) -> None:
    """List faults, the newest first.

    Example: kitlore fault list --state open
    """
    from kb.faults import views

    here = desk.chosen()
    with desk.reading(here) as session:
        lines = views.fault_lines(
            session,
            desk.now(here),
            here.settings.hold_days,
            state=state,
            item=item,
            limit=limit,
        )
    if as_json:
        output.as_json(lines)
    else:
        fault_text.lines(lines, here.settings.timezone)


def see(number: Number, as_json: Json = False) -> None:
    """Show a fault with what was tried.

    Example: kitlore fault see 87
    """
    from kb.faults import views

    here = desk.chosen()
    with desk.reading(here) as session:
        page = views.fault_page(session, number, desk.now(here), here.settings.hold_days)
    if as_json:
        output.as_json(page)
    else:
        fault_text.page(page, here.settings.timezone)


def try_(
    number: Number,
    fix: Annotated[
        str | None, typer.Argument(help="The fix's key, or 'swap'.", metavar="FIX")
    ] = None,
    worked: Annotated[
        bool | None, typer.Option("--worked/--no-good", help="How it ended.")
    ] = None,
    entry: EntrySlug = None,
    what: Annotated[str | None, typer.Option(help="What was done, if it's in no entry.")] = None,
    minutes: Annotated[float | None, typer.Option(help="How long it took.", min=0)] = None,
    at: At = None,
) -> None:
    """Record that a fix was tried, and whether it worked.

    Example: kitlore fault try 87 replug --worked
    """
    from kb.faults import attempts

    if worked is None:
        raise InvalidError([Problem("outcome", "say --worked or --no-good.")])
    here = desk.chosen()
    outcome = Outcome.WORKED if worked else Outcome.DID_NOT_WORK
    values = desk.given(fix=fix, entry=entry, what=what, minutes=minutes, outcome=outcome)
    with desk.writing(here) as session:
        attempt = attempts.record_attempt(session, number, values, desk.done_at(here, at))
    stands = "It is watched from now on." if worked else "It stays open."
    output.say(f"Attempt {attempt} on fault {number}: {outcome.value}. {stands}")


def close(
    number: Number,
    kind: Kind,
    item: Blamed = None,
    note: Note = None,
    minutes_lost: Minutes = None,
    restored: Annotated[str | None, typer.Option(help="When it was well again; else now.")] = None,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Close a fault: what it was, and which item is to blame.

    KIND is said of that item: own failure, wrong setting as delivered, wrong setting made here,
    handling, outside cause, no fault found or unknown.

    Example: kitlore fault close 87 --kind "own failure" --item HD-04
    """
    from kb.faults import closing

    here = desk.chosen()
    values = desk.given(
        kind=kind,
        item=item,
        note=note,
        minutes_lost=minutes_lost,
        restored_at=desk.moment(here, restored) if restored else None,
    )
    with desk.writing(here) as session:
        closing.close_fault(session, number, values, desk.done_at(here, at), seen)
    output.say(f"Fault {number} is closed: {kind.value}.")


def blame(
    number: Number, kind: Kind, item: Blamed = None, note: Note = None, seen: Seen = None
) -> None:
    """Name another cause of a closed fault, which still works.

    Since when it works and is closed stays; KIND as in `fault close`.

    Example: kitlore fault blame 87 --kind handling --item HD-04
    """
    from kb.faults import closing

    values = desk.given(kind=kind, item=item, note=note)
    with desk.writing(desk.chosen()) as session:
        closing.correct_cause(session, number, values, seen)
    output.say(f"Fault {number} has another cause now: {kind.value}.")


def reopen(number: Number, at: At = None, seen: Seen = None) -> None:
    """Open a fault again: it's back, so it wasn't cured.

    Example: kitlore fault reopen 87
    """
    from kb.faults import closing

    here = desk.chosen()
    with desk.writing(here) as session:
        closing.reopen_fault(session, number, desk.done_at(here, at), seen)
    output.say(f"Fault {number} is open again.")
