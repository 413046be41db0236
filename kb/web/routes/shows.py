"""Recording dates: coming and past, planned, changed, called off."""

from datetime import datetime
from functools import partial
from typing import Any

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import shows
from kb.gear.shows import ShowLine
from kb.records.kinds import ShowKind
from kb.records.workspace import Workspace
from kb.web import airing, forms, moments, paging
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage
from kb.web.paging import Start

router = APIRouter(include_in_schema=False)
PAGE = 50
_PLAIN = ("title", "kind", "place")
_TIMES = ("air_at", "set_up_from", "ends_at")
_PAST = "past"


@router.get("/shows")
def listed(
    request: Request,
    session: Reading,
    place: Place,
    now: Now,
    when: str = "",
    start: Start = 0,
) -> Response:
    """List the shows to come, the next first; or those past, the last first."""
    past = when == _PAST
    found = shows.show_lines(session, now, past=past, limit=PAGE + 1, offset=start)
    asked = {"when": _PAST if past else ""}
    before, after = paging.beside("/shows", asked, start, PAGE, more=len(found) > PAGE)
    page = ListPage(
        title="Shows that were" if past else "Shows to come",
        columns=("On air", "Show", "Stands", "Kind", "Where", "Plan"),
        rows=tuple(_row(one, place, past=past) for one in found[:PAGE]),
        empty="None yet.",
        note=_near(session, now, place),
        ways=(("Plan a show", "/shows/new"), ("To come", "/shows"), ("Past", "/shows?when=past")),
        before=before,
        after=after,
    )
    return forms.listed(request, page)


@router.get("/shows/new")
def new(request: Request, place: Place) -> Response:
    """Show the form for a new show."""
    return forms.shown(request, _new(place))


@router.post("/shows/new")
def add(request: Request, form: Form, place: Place, now: Now) -> Response:
    """Plan a show."""
    page = _new(place)

    def act(unit: Session) -> int:
        return shows.add_show(unit, _values(form, page, place, now))

    return forms.done(request, now, form, page, act, "/shows")


@router.get("/shows/{number}/change")
def change(request: Request, number: int, session: Reading, place: Place) -> Response:
    """Show the form that changes a show."""
    return forms.shown(request, _change(shows.show_by(session, number), place))


@router.post("/shows/{number}/change")
def changed(
    request: Request, number: int, form: Form, place: Place, now: Now, session: Reading
) -> Response:
    """Change a show."""
    page = _change(shows.show_by(session, number), place)

    def act(unit: Session) -> None:
        shows.change_show(unit, number, _values(form, page, place, now), forms.seen(form))

    return forms.done(request, now, form, page, act, "/shows")


@router.get("/shows/{number}/cancel")
def cancel(request: Request, number: int, session: Reading) -> Response:
    """Show the form that calls a show off, or takes that back."""
    return forms.shown(request, _cancel(shows.show_by(session, number)))


@router.post("/shows/{number}/cancel")
def cancelled(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """Call a show off."""
    act = partial(shows.cancel_show, number=number, at=now, seen=forms.seen(form))
    page = _cancel(shows.show_by(session, number))
    return forms.done(request, now, form, page, act, "/shows")


@router.post("/shows/{number}/reinstate")
def reinstated(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """Take back that a show was called off."""
    act = partial(shows.reinstate_show, number=number, seen=forms.seen(form))
    page = _cancel(shows.show_by(session, number))
    return forms.done(request, now, form, page, act, "/shows")


def _values(
    form: dict[str, str], page: FormPage, place: Workspace, now: datetime
) -> dict[str, Any]:
    """Return what was typed, its times parsed in the workspace's zone."""
    return forms.values(form, _PLAIN) | moments.typed(form, page.fields, _TIMES, place, now)


def _near(session: Session, now: datetime, place: Workspace) -> str:
    """Return how near the air time is, or when the next one will be."""
    near, following = airing.air(session, now), shows.next_show(session, now)
    if near is not None and near.minutes is None:
        return f"On air since {near.show.air_at.astimezone(place.settings.timezone):%H:%M}."
    if near is not None:
        return f"{near.minutes} min to air: {near.show.title}."
    if following is None:
        return "None is planned."
    return f"Next on air: {moments.told(following.air_at, place)}, {following.title}."


def _row(line: ShowLine, place: Workspace, *, past: bool) -> tuple[Cell, ...]:
    off = f"/shows/{line.number}/cancel"
    stands = "called off" if line.cancelled_at else "" if past else "planned"
    act = "take that back" if line.cancelled_at else "" if past else "call it off"
    return (
        Cell(moments.told(line.air_at, place), kind="time"),
        Cell(line.title, f"/shows/{line.number}/change"),
        Cell(stands, kind="state" if stands else "text"),
        Cell(line.kind),
        Cell(line.place or ""),
        Cell(act, off if act else ""),
    )


def _new(place: Workspace) -> FormPage:
    return FormPage("Plan a show", "/shows/new", "Plan it", _fields(None, place), back="/shows")


def _change(line: ShowLine, place: Workspace) -> FormPage:
    fields = (_seen(line), *_fields(line, place))
    there = f"/shows/{line.number}"
    off = "It takes place after all" if line.cancelled_at else "Call it off"
    return FormPage(
        f"Change {line.title}",
        f"{there}/change",
        "Change it",
        fields,
        back="/shows",
        ways=((off, f"{there}/cancel"),),
    )


def _fields(line: ShowLine | None, place: Workspace) -> tuple[Field, ...]:
    def told(name: str) -> str:
        return moments.told(getattr(line, name, None), place)

    zone = f"{moments.HINT[:-1]}, in {place.settings.timezone.key}."
    practice = "Empty: six hours before.", "Empty: four hours after."
    return (
        Field("title", "What it is", line.title if line else ""),
        Field("kind", "Kind", line.kind if line else ShowKind.SHOW, "choice", "", tuple(ShowKind)),
        Field("air_at", "On air at", told("air_at"), hint=zone),
        Field("set_up_from", "Set up from", told("set_up_from"), hint=practice[0]),
        Field("ends_at", "Ends at", told("ends_at"), hint=practice[1]),
        Field("place", "Where", (line.place or "") if line else "", hint="A name or a path."),
    )


def _seen(line: ShowLine) -> Field:
    return Field("seen", value=str(line.version), kind="hidden")


def _cancel(line: ShowLine) -> FormPage:
    there = f"/shows/{line.number}"
    if line.cancelled_at:
        title = f"Does {line.title} take place after all?"
        return FormPage(title, f"{there}/reinstate", "It does", (_seen(line),), back="/shows")
    title = f"Call {line.title} off?"
    note = "It stays on record, and that can be taken back."
    return FormPage(title, f"{there}/cancel", "Call it off", (_seen(line),), note, back="/shows")
