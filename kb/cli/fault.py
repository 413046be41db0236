"""`log` and `fault`: report, try, close, reopen, correct."""

from typing import Annotated, Any

import typer

from kb.cli import desk, fault_text, output
from kb.cli.options import At, Json, Seen
from kb.errors import InvalidError, Problem
from kb.records.kinds import CableEnd, CauseKind, Effect, FaultState, Outcome
from kb.records.workspace import Workspace

_FITTING = 3
Number = Annotated[int, typer.Argument(help="The fault's number.", min=1)]
AttemptNumber = Annotated[int, typer.Argument(help="The attempt's number.", min=1)]
_Effect = Annotated[Effect | None, typer.Option(help="What it did to the show.")]
_End = Annotated[CableEnd | None, typer.Option(help="The end of a lead.")]
_Minutes = Annotated[int | None, typer.Option(help="Minutes lost.", min=0)]
_Place = Annotated[str | None, typer.Option(help="Where it was seen, if no item is known.")]
_Entry = Annotated[str | None, typer.Option(help="The entry that fits, by its slug.")]
_Reporter = Annotated[str | None, typer.Option(help="Who reports it, if not you.")]


def add_to(app: typer.Typer) -> None:
    """Add the words `log` and `fault`."""
    app.command("log")(log)
    group = typer.Typer(help="Faults: try, close, reopen, correct.", no_args_is_help=True)
    for name, command in (
        ("list", list_),
        ("see", see),
        ("try", try_),
        ("close", close),
        ("reopen", reopen),
        ("correct", correct),
        ("merge", merge),
        ("retell", retell),
        ("strike", strike),
    ):
        group.command(name)(command)
    app.add_typer(group, name="fault")


def log(
    words: Annotated[
        list[str], typer.Argument(help="The item's code or name, then what you see.")
    ],
    place: _Place = None,
    effect: _Effect = None,
    end: _End = None,
    minutes_lost: _Minutes = None,
    entry: _Entry = None,
    reporter: _Reporter = None,
    at: At = None,
    key: Annotated[
        str | None, typer.Option(help="Your own mark: a retry logs nothing twice.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Log a fault, and see at once what fits.

    With --place all words are what you see; else the first is the item.

    Example: kitlore log CC-05 "five is greenish since power-up"
    """
    from kb.faults import log as faults

    here = desk.chosen()
    item = None if place else words[0]
    text = " ".join(words if place else words[1:])
    if not text.strip():
        raise InvalidError([Problem("text", "say what you see, after the item.")])
    values = desk.given(
        text=text,
        item=item,
        place=place,
        end=end,
        effect=effect,
        minutes_lost=minutes_lost,
        entry=entry,
        reporter=reporter,
        client_key=key,
        noticed_at=desk.moment(here, at) if at else None,
    )
    with desk.writing(here) as session:
        number = faults.log_fault(session, values, desk.now(here))
    fitting = _fitting(here, text, item)
    if as_json:
        output.as_json(
            {"fault": number, "fitting": [{"id": h.key, "title": h.title} for h in fitting]}
        )
        return
    fault_text.logged(number, fitting)


def list_(
    state: Annotated[FaultState | None, typer.Option(help="Only these.")] = None,
    item: Annotated[str | None, typer.Option(help="Only of this item.")] = None,
    limit: Annotated[int, typer.Option(help="How many at most.", min=1)] = 30,
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
    fix: Annotated[str | None, typer.Argument(help="The fix's key, or 'swap'.")] = None,
    worked: Annotated[
        bool | None, typer.Option("--worked/--no-good", help="How it ended.")
    ] = None,
    entry: _Entry = None,
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
        attempt = attempts.record_attempt(session, number, values, desk.moment(here, at))
    stands = "It is watched from now on." if worked else "It stays open."
    output.say(f"Attempt {attempt} on fault {number}: {outcome.value}. {stands}")


def close(
    number: Number,
    kind: Annotated[CauseKind, typer.Option(help="What kind of cause it was.")],
    item: Annotated[
        str | None, typer.Option(help="The item to blame, 'none'; else the one it was seen on.")
    ] = None,
    note: Annotated[str | None, typer.Option(help="The cause in words.")] = None,
    minutes_lost: _Minutes = None,
    restored: Annotated[str | None, typer.Option(help="When it was well again; else now.")] = None,
    at: At = None,
    seen: Seen = None,
) -> None:
    """Close a fault: what it was, and which item is to blame.

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
        closing.close_fault(session, number, values, desk.moment(here, at), seen)
    output.say(f"Fault {number} is closed: {kind.value}.")


def reopen(number: Number, at: At = None, seen: Seen = None) -> None:
    """Open a fault again: it isn't cured after all.

    Example: kitlore fault reopen 87
    """
    from kb.faults import closing

    here = desk.chosen()
    with desk.writing(here) as session:
        closing.reopen_fault(session, number, desk.moment(here, at), seen)
    output.say(f"Fault {number} is open again.")


def correct(
    number: Number,
    item: Annotated[str | None, typer.Option(help="The right item.")] = None,
    place: _Place = None,
    text: Annotated[str | None, typer.Option(help="The right words.")] = None,
    effect: _Effect = None,
    end: _End = None,
    minutes_lost: _Minutes = None,
    entry: _Entry = None,
    reporter: _Reporter = None,
    noticed: Annotated[str | None, typer.Option(help="When it was noticed.")] = None,
    seen: Seen = None,
) -> None:
    """Mend a slip in a report; what stood there before stays known.

    Example: kitlore fault correct 87 --item CC-06
    """
    from kb.faults import log as faults

    here = desk.chosen()
    values: dict[str, Any] = desk.given(
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
    if not values:
        raise InvalidError([Problem("option", "say what to correct, with --item, --text ...")])
    with desk.writing(here) as session:
        faults.correct_fault(session, number, values, desk.now(here), seen)
    output.say(f"Fault {number} is corrected.")


def merge(
    number: Number, into: Annotated[int, typer.Argument(help="The fault that stays.", min=1)]
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
    """Say that an attempt ended the other way: the wrong button was pressed.

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
        attempts.strike_attempt(session, attempt, reason, desk.moment(here, at), seen)
    output.say(f"Attempt {attempt} is struck out.")


def _fitting(here: Workspace, text: str, item: str | None) -> list[Any]:
    """Return the first entries that fit what was logged; what is logged stays logged anyway."""
    from kb.cli import finding

    found = finding.ask(here, text, item)
    return [hit for hit in found.hits if hit.kind == "entry"][:_FITTING]
