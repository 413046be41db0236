"""Recording dates: coming and past, planned, changed, called off."""

from datetime import datetime, timedelta
from functools import partial
from typing import Any

from fastapi import APIRouter, Request, Response

from kb import checking
from kb.gear import shows
from kb.gear.shows import ShowLine
from kb.records.kinds import ShowKind
from kb.records.workspace import Workspace
from kb.web import forms
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_LOOKED_BACK = timedelta(days=120)
_LOOKED_AHEAD = timedelta(days=400)
_TIMES = ("air_at", "set_up_from", "ends_at")


@router.get("/shows")
def listed(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """List the shows to come, then those of the last months."""
    found = shows.shows(session, now - _LOOKED_BACK, now + _LOOKED_AHEAD, cancelled=True)
    coming = [one for one in found if one.air_at >= now]
    past = [one for one in reversed(found) if one.air_at < now]
    minutes = shows.minutes_to_air(session, now)
    title = f"Shows: {minutes} min to air" if minutes is not None else "Shows: none planned"
    page = ListPage(
        title=title,
        columns=("On air", "Show", "Kind", "Where", "Called off"),
        rows=tuple(_row(one, place, now) for one in (*coming, *past)),
        empty="No show yet.",
        ways=(("Plan a show", "/shows/new"),),
    )
    return forms.listed(request, page)


@router.get("/shows/new")
def new(request: Request, place: Place) -> Response:
    """Show the form for a new show."""
    return forms.shown(request, _form(None, place))


@router.post("/shows/new")
def add(request: Request, form: Form, place: Place, now: Now) -> Response:
    """Plan a show."""

    def act(unit: Any) -> int:  # noqa: ANN401 - a unit of work
        return shows.add_show(unit, _values(form, place, now))

    return forms.done(request, now, form, _form(None, place), act, "/shows")


@router.get("/shows/{number}/change")
def change(request: Request, number: int, session: Reading, place: Place) -> Response:
    """Show the form that changes a show."""
    return forms.shown(request, _form(shows.show_by(session, number), place))


@router.post("/shows/{number}/change")
def changed(
    request: Request, number: int, form: Form, place: Place, now: Now, session: Reading
) -> Response:
    """Change a show."""

    def act(unit: Any) -> None:  # noqa: ANN401 - a unit of work
        shows.change_show(unit, number, _values(form, place, now), forms.seen(form))

    page = _form(shows.show_by(session, number), place)
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


def _values(form: dict[str, str], place: Workspace, now: datetime) -> dict[str, Any]:
    """Return what was typed, its times parsed in the workspace's zone."""
    values: dict[str, Any] = forms.values(form, ("title", "kind", "place"))
    for name in _TIMES:
        typed = form.get(name, "").strip()
        values[name] = checking.moment(typed, place.settings.timezone, now) if typed else None
    return values if values["air_at"] else {k: v for k, v in values.items() if k != "air_at"}


def _row(line: ShowLine, place: Workspace, now: datetime) -> tuple[Cell, ...]:
    off = f"/shows/{line.number}/cancel"
    told = "called off: take it back" if line.cancelled_at else "call it off"
    open_still = line.air_at >= now or line.cancelled_at
    return (
        Cell(f"{line.air_at.astimezone(place.settings.timezone):%Y-%m-%d %H:%M}"),
        Cell(line.title, f"/shows/{line.number}/change"),
        Cell(line.kind),
        Cell(line.place or ""),
        Cell(told, off) if open_still else Cell(""),
    )


def _form(line: ShowLine | None, place: Workspace) -> FormPage:
    zone = place.settings.timezone

    def told(name: str) -> str:
        at = getattr(line, name, None)
        return f"{at.astimezone(zone):%Y-%m-%d %H:%M}" if at else ""

    hint = f"Year-month-day hour:minute, in {zone.key}."
    fields = (
        Field("seen", value=str(line.version) if line else "", kind="hidden"),
        Field("title", "What it is", line.title if line else ""),
        Field("kind", "Kind", line.kind if line else "show", "choice", "", tuple(ShowKind)),
        Field("air_at", "On air", told("air_at"), "text", hint),
        Field("set_up_from", "Set-up from", told("set_up_from")),
        Field("ends_at", "Ends", told("ends_at")),
        Field("place", "Where", (line.place or "") if line else ""),
    )
    if line is None:
        return FormPage("Plan a show", "/shows/new", "Plan it", fields, back="/shows")
    action = f"/shows/{line.number}/change"
    return FormPage(f"Change {line.title}", action, "Change it", fields, back="/shows")


def _cancel(line: ShowLine) -> FormPage:
    seen = (Field("seen", value=str(line.version), kind="hidden"),)
    if line.cancelled_at:
        action = f"/shows/{line.number}/reinstate"
        return FormPage(f"{line.title} takes place", action, "It does", seen, back="/shows")
    action = f"/shows/{line.number}/cancel"
    return FormPage(f"Call {line.title} off", action, "Call it off", seen, back="/shows")
