"""`fault correct`, `mistaken`, `merge`, `retell`, `strike`: mend a slip, its history kept."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.fault_options import (
    AttemptNumber,
    EffectOn,
    End,
    EntrySlug,
    Minutes,
    Number,
    Reporter,
    SeenAt,
)
from kb.cli.options import At, Seen
from kb.errors import InvalidError, Problem
from kb.records.kinds import Outcome


def add_to(group: typer.Typer) -> None:
    """Add these words to the group of faults."""
    group.command("correct")(correct)
    group.command("mistaken")(mistaken)
    group.command("merge")(merge)
    group.command("retell")(retell)
    group.command("strike")(strike)


def correct(
    number: Number,
    item: Annotated[str | None, typer.Option(help="The right item.")] = None,
    place: SeenAt = None,
    text: Annotated[str | None, typer.Option(help="The right words.")] = None,
    effect: EffectOn = None,
    end: End = None,
    minutes_lost: Minutes = None,
    entry: EntrySlug = None,
    reporter: Reporter = None,
    noticed: Annotated[str | None, typer.Option(help="When it was noticed.")] = None,
    seen: Seen = None,
) -> None:
    """Mend a slip in a report; what stood there before stays known.

    Example: kitlore fault correct 87 --item CC-06
    """
    from kb.faults import log as faults

    here = desk.chosen()
    values = desk.changes(
        item=item,
        place=place,
        text=text,
        effect=effect,
        end=end,
        minutes_lost=minutes_lost,
        entry=entry,
        reporter=reporter,
        noticed_at=desk.moment(here, noticed) if noticed else None,
    )
    with desk.writing(here) as session:
        faults.correct_fault(session, number, values, desk.now(here), seen)
    output.say(f"Fault {number} is corrected.")


def mistaken(
    number: Number,
    undo: Annotated[
        bool, typer.Option("--undo", help="It was no mistake: bring it back.")
    ] = False,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Take a fault back that was logged by mistake; its history stays.

    Example: kitlore fault mistaken 87
    """
    from kb.faults import mistakes

    here = desk.chosen()
    with desk.writing(here) as session:
        if undo:
            mistakes.bring_back(session, number, seen)
        else:
            mistakes.take_back(session, number, desk.done_at(here, at), seen)
    counts = "is back and counts" if undo else "is taken back and counts nowhere"
    output.say(f"Fault {number} {counts}.")


def merge(
    number: Number,
    into: Annotated[int, typer.Argument(help="The fault that stays.", min=1, metavar="INTO")],
) -> None:
    """Say that two reports are one fault.

    Example: kitlore fault merge 88 87
    """
    from kb.faults import log as faults

    with desk.writing(desk.chosen()) as session:
        faults.merge_fault(session, number, into)
    output.say(f"Fault {number} is one with fault {into}.")


def retell(
    attempt: AttemptNumber,
    worked: Annotated[
        bool | None, typer.Option("--worked/--no-good", help="How it ended.")
    ] = None,
    seen: Seen = None,
) -> None:
    """Say that an attempt ended the other way: a wrong button.

    Example: kitlore fault retell 120 --no-good
    """
    from kb.faults import attempts

    if worked is None:
        raise InvalidError([Problem("outcome", "say --worked or --no-good.")])
    outcome = Outcome.WORKED if worked else Outcome.DID_NOT_WORK
    with desk.writing(desk.chosen()) as session:
        attempts.correct_attempt(session, attempt, outcome, seen)
    output.say(f"Attempt {attempt}: {outcome.value}.")


def strike(
    attempt: AttemptNumber,
    reason: Annotated[str, typer.Option(help="Why it counts no more.")],
    at: At = None,
    seen: Seen = None,
) -> None:
    """Strike an attempt out: it was never made.

    Example: kitlore fault strike 120 --reason "wrong fault"
    """
    from kb.faults import attempts

    here = desk.chosen()
    with desk.writing(here) as session:
        attempts.strike_attempt(session, attempt, reason, desk.done_at(here, at), seen)
    output.say(f"Attempt {attempt} is struck out.")
