"""Slips mended: in a report, in an attempt."""

from datetime import datetime
from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.faults import attempts, log, views
from kb.faults.views import AttemptLine, FaultPage
from kb.records.kinds import CableEnd, Effect, FaultState, Outcome
from kb.records.workspace import Workspace
from kb.web import forms, moments
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Also, Field, FormPage

router = APIRouter(include_in_schema=False)
_FIELDS = ("text", "item", "place", "end", "effect", "minutes_lost", "entry", "reporter")
_STRUCK = "it was never made"
_ENDED = {Outcome.WORKED: "it worked", Outcome.DID_NOT_WORK: "it did not work"}


@router.get("/faults/{number}/correct")
def correct(request: Request, number: int, session: Reading, place: Place, now: Now) -> Response:
    """Show the form that mends a slip in a report."""
    return forms.shown(request, _report(_fault(session, number, place, now), place))


@router.post("/faults/{number}/correct")
def corrected(
    request: Request, number: int, form: Form, session: Reading, place: Place, now: Now
) -> Response:
    """Mend a slip in a report; what was left as it stood stays, whatever became of it."""
    page = _report(_fault(session, number, place, now), place)
    stands = {field.name: field.value for field in page.fields}

    def act(unit: Session) -> None:
        typed = forms.values(form, _FIELDS).items()
        values = {name: value or None for name, value in typed if value != stands[name]}
        times = moments.typed(form, page.fields, ["noticed_at"], place, now)
        log.correct_fault(unit, number, values | times, now, forms.seen(form))

    return forms.done(request, now, form, page, act, f"/faults/{number}")


@router.get("/faults/{number}/attempts/{attempt}")
def slip(
    request: Request, number: int, attempt: int, session: Reading, place: Place, now: Now
) -> Response:
    """Show the form that mends a slip in an attempt."""
    return forms.shown(request, _attempt(_fault(session, number, place, now), attempt, place))


@router.post("/faults/{number}/attempts/{attempt}")
def mended(
    request: Request,
    number: int,
    attempt: int,
    form: Form,
    session: Reading,
    place: Place,
    now: Now,
) -> Response:
    """Strike an attempt out, or say that it ended the other way."""
    page = _attempt(_fault(session, number, place, now), attempt, place)
    ended = next((one for one, said in _ENDED.items() if said == form.get("mend")), None)
    if ended is not None:
        act = partial(attempts.correct_attempt, outcome=ended)
    else:
        act = partial(attempts.strike_attempt, reason=form.get("reason", ""), at=now)
    mend = partial(act, attempt_number=attempt, seen=forms.seen(form))
    return forms.done(request, now, form, page, mend, f"/faults/{number}")


def _fault(session: Session, number: int, place: Workspace, now: datetime) -> FaultPage:
    return views.fault_page(session, number, now, place.settings.hold_days)


def _report(found: FaultPage, place: Workspace) -> FormPage:
    line = found.line
    minutes = "" if line.minutes_lost is None else str(line.minutes_lost)
    fields = (
        Field("seen", value=str(found.version), kind="hidden"),
        Field("text", "What was reported", line.text, "words"),
        Field("item", "Seen on", line.item, hint="Its code or name."),
        Field("place", "At", line.place, hint="A name or a path."),
        Field("noticed_at", "When", moments.told(line.noticed_at, place), hint=moments.HINT),
        Field("end", "End of a lead", found.end, "choice", "", ("", *CableEnd)),
        Field("effect", "Effect", line.effect, "choice", "", tuple(Effect)),
        Field("minutes_lost", "Minutes lost", minutes, "number"),
        Field("entry", "The entry that fits", line.entry, hint="Its slug."),
        Field("reporter", "Reported by", line.reporter, hint="A name that is known."),
    )
    there = f"/faults/{line.number}"
    note = "What stood there before stays in the history, and the evidence is counted anew."
    title = f"Mend a slip in fault {line.number}"
    return FormPage(
        title,
        f"{there}/correct",
        "Mend it",
        fields,
        note,
        back=there,
        keep=f"fault-{line.number}-correct",
        also=_also(found, there),
    )


def _also(found: FaultPage, there: str) -> tuple[Also, ...]:
    """Return the press for a report that should never have been made."""
    if found.line.state is FaultState.MISTAKEN:
        return ()
    says = "It counts nowhere from then on, nor does what was tried on it. Its history stays."
    return (Also(f"{there}/mistaken", "Logged by mistake: take it back", says, found.version),)


def _attempt(found: FaultPage, number: int, place: Workspace) -> FormPage:
    """Return the form for an attempt on a fault.

    Raises:
        NotFoundError: The fault has no such attempt.
    """
    line = next((one for one in found.attempts if one.number == number), None)
    if line is None:
        raise NotFoundError("attempt on this fault", str(number), "Go back to the fault.")
    options = (*(said for ended, said in _ENDED.items() if ended != line.outcome), _STRUCK)
    fields = (
        Field("seen", value=str(line.version), kind="hidden"),
        Field("mend", "What is true", options[0], "choice", "", options),
        Field("reason", "Why", hint="Needed for what was never made."),
    )
    there = f"/faults/{found.line.number}"
    action = f"{there}/attempts/{number}"
    title = f"A slip in: {line.title}"
    keep = f"attempt-{number}"
    return FormPage(title, action, "Mend it", fields, _told(line, place), back=there, keep=keep)


def _told(line: AttemptLine, place: Workspace) -> str:
    when = f"{moments.told(line.at, place)}, {line.by}"
    if line.struck:
        return f"{when}: it was struck out: {line.struck}. Nothing more can be mended in it."
    return (
        f"{when}: {_ENDED[Outcome(line.outcome)]}, says the record. The evidence is counted anew."
    )
