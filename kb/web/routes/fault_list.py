"""Faults in a list, and slips in them mended."""

from functools import partial
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from pydantic import BeforeValidator

from kb.checking import Draft, OptionalLine, check, empty_is_none
from kb.errors import KitloreError, Problem
from kb.faults import attempts, log, views
from kb.faults.views import FaultLine, FaultPage
from kb.records.kinds import CableEnd, Effect, FaultState, Outcome
from kb.records.workspace import Workspace
from kb.web import failures, forms
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
PAGE = 50
_FIELDS = ("text", "item", "place", "end", "effect", "minutes_lost", "entry", "reporter")


_FILTERS = ("state", "item", "place", "entry", "text")


class Wanted(Draft):
    """Which faults are listed, and from which one on."""

    state: Annotated[FaultState | None, BeforeValidator(empty_is_none)] = None
    item: OptionalLine = None
    place: OptionalLine = None
    entry: OptionalLine = None
    text: OptionalLine = None


@router.get("/faults")
def faults(
    request: Request, session: Reading, place: Place, now: Now, offset: int = 0
) -> Response:
    """List faults, the newest first; the address narrows the list."""
    asked = {name: request.query_params.get(name, "") for name in _FILTERS}
    start = max(0, min(offset, 10_000_000))
    found: tuple[FaultLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    status = 200
    try:
        wanted = dict(check(Wanted, asked))
        days = place.settings.hold_days
        found = views.fault_lines(session, now, days, **wanted, limit=PAGE + 1, offset=start)
    except KitloreError as error:
        problems, status = failures.problems_of(error), failures.status_of(error)
    page = ListPage(
        title="Faults",
        columns=("Reported", "State", "Noticed", "Seen on", "Effect", "Cause"),
        rows=tuple(_row(one, place) for one in found[:PAGE]),
        empty="No such fault.",
        filters=_filters(asked),
        action="/faults",
        ways=(("Log a fault", "/log"), ("Open ones", "/faults?state=open"), ("All", "/faults")),
        before=_page(asked, start - PAGE) if start else "",
        after=_page(asked, start + PAGE) if len(found) > PAGE else "",
        problems=problems,
    )
    return forms.listed(request, page, status)


def _filters(asked: dict[str, str]) -> tuple[Field, ...]:
    told = (
        ("text", "With the words", "text"),
        ("state", "State", "choice"),
        ("item", "On the thing", "text"),
        ("place", "At the place, or in it", "text"),
        ("entry", "Of the entry (its slug)", "text"),
    )
    states = ("", *FaultState)
    return tuple(
        Field(name, label, asked[name], kind, options=states if kind == "choice" else ())
        for name, label, kind in told
    )


@router.get("/faults/{number}/correct")
def correct(request: Request, number: int, session: Reading, place: Place, now: Now) -> Response:
    """Show the form that mends a slip in a report."""
    found = views.fault_page(session, number, now, place.settings.hold_days)
    return forms.shown(request, _correct(found))


@router.post("/faults/{number}/correct")
def corrected(
    request: Request, number: int, form: Form, session: Reading, place: Place, now: Now
) -> Response:
    """Mend a slip in a report."""
    page = _correct(views.fault_page(session, number, now, place.settings.hold_days))
    changed = {
        name: value or None
        for name, value in forms.values(form, _FIELDS).items()
        if value != next(one.value for one in page.fields if one.name == name)
    }
    act = partial(log.correct_fault, number=number, values=changed, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, f"/faults/{number}")


@router.get("/faults/{number}/attempts/{attempt}")
def slip(request: Request, number: int, attempt: int) -> Response:
    """Show the form that mends a slip in an attempt."""
    return forms.shown(request, _slip(number, attempt))


@router.post("/faults/{number}/attempts/{attempt}")
def mended(request: Request, number: int, attempt: int, form: Form, now: Now) -> Response:
    """Strike an attempt out, or say that it ended the other way."""
    if form.get("mend") == _STRIKE:
        act = partial(
            attempts.strike_attempt,
            attempt_number=attempt,
            reason=form.get("reason", ""),
            at=now,
        )
    else:
        outcome = Outcome.WORKED if form.get("mend") == _WORKED else Outcome.DID_NOT_WORK
        act = partial(attempts.correct_attempt, attempt_number=attempt, outcome=outcome)
    return forms.done(request, now, form, _slip(number, attempt), act, f"/faults/{number}")


_STRIKE, _WORKED, _FAILED = "it was never made", "it worked", "it did not work"


def _row(line: FaultLine, place: Workspace) -> tuple[Cell, ...]:
    cause = line.cause_kind + (f": {line.cause_item}" if line.cause_item else "")
    return (
        Cell(line.text, f"/faults/{line.number}"),
        Cell(line.state, kind="state"),
        Cell(f"{line.noticed_at.astimezone(place.settings.timezone):%Y-%m-%d %H:%M}", kind="time"),
        Cell(line.item or line.place, f"/{line.code}" if line.code else ""),
        Cell(line.effect),
        Cell(cause),
    )


def _page(asked: dict[str, str], offset: int) -> str:
    kept = {name: value for name, value in asked.items() if value}
    return "/faults?" + urlencode(kept | {"offset": max(0, offset)})


def _correct(found: FaultPage) -> FormPage:
    line = found.line
    minutes = "" if line.minutes_lost is None else str(line.minutes_lost)
    fields = (
        Field("seen", value=str(found.version), kind="hidden"),
        Field("text", "What was reported", line.text, "words"),
        Field("item", "Seen on", line.item, hint="Its code or name."),
        Field("place", "At", line.place),
        Field("end", "End of a lead", found.end, "choice", "", ("", *CableEnd)),
        Field("effect", "Effect", line.effect, "choice", "", tuple(Effect)),
        Field("minutes_lost", "Minutes lost", minutes, "number"),
        Field("entry", "The entry that fits", line.entry, hint="Its slug."),
        Field("reporter", "Reported by", line.reporter),
    )
    there = f"/faults/{line.number}"
    note = "What stood there before stays in the history, and the evidence is counted anew."
    title = f"Mend a slip in fault {line.number}"
    return FormPage(title, f"{there}/correct", "Mend it", fields, note, back=there)


def _slip(number: int, attempt: int) -> FormPage:
    fields = (
        Field("mend", "What is true", _FAILED, "choice", "", (_WORKED, _FAILED, _STRIKE)),
        Field("reason", "Why", hint="Needed for what was never made."),
    )
    there = f"/faults/{number}"
    title = f"Mend a slip in attempt {attempt}"
    return FormPage(title, f"{there}/attempts/{attempt}", "Mend it", fields, back=there)
