"""What is due, what was done to which things, and what was found on each."""

from datetime import timedelta
from functools import partial
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import upkeep
from kb.gear.upkeep import ServiceLine
from kb.records.kinds import Result, ServiceKind
from kb.records.workspace import Workspace
from kb.web import forms, moments
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_PLAIN = ("kind", "work", "tester", "cost", "next_due", "fault")
_TODAY = "today"
_AHEAD = {_TODAY: 0, "in 30 days": 30, "in 90 days": 90, "in a year": 365}


@router.get("/services")
def due(
    request: Request, session: Reading, place: Place, now: Now, ahead: str = _TODAY
) -> Response:
    """List what is due by today, or soon."""
    today = now.astimezone(place.settings.timezone).date()
    found = upkeep.due(session, today + timedelta(days=_AHEAD.get(ahead, 0)))
    rows = tuple(
        (
            Cell(one.name, f"/{one.code}"),
            Cell(one.kind),
            Cell(str(one.next_due), kind="time"),
            Cell("overdue" if one.next_due and one.next_due < today else "due", kind="state"),
            Cell(one.work, f"/services/{one.number}/change"),
            Cell("write it down", _again(one)),
        )
        for one in found
    )
    page = ListPage(
        title="Services due",
        columns=("What", "Kind", "Due", "How", "Last time", "Done now"),
        rows=rows,
        empty="Nothing is due.",
        filters=(Field("ahead", "Due by", ahead, "choice", "", tuple(_AHEAD)),),
        action="/services",
        ways=(("Write a service down", "/services/new"), ("Gear", "/gear")),
        count=len(rows),
    )
    return forms.listed(request, page)


@router.get("/services/new")
def new(request: Request, item: str = "", kind: str = "", work: str = "") -> Response:
    """Show the form for a service."""
    return forms.shown(request, _new(item, kind, work))


@router.post("/services/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Keep a service."""
    values = forms.values(form, _PLAIN) | {"items": _items(form)}
    act = partial(upkeep.add_service, values=values, at=now)
    return forms.done(request, now, form, _new("", "", ""), act, "/services")


@router.get("/services/{number}/change")
def change(request: Request, number: int, session: Reading, place: Place) -> Response:
    """Show the form that mends a slip in a service."""
    return forms.shown(request, _change(upkeep.service_by(session, number), place))


@router.post("/services/{number}/change")
def changed(
    request: Request, number: int, form: Form, place: Place, now: Now, session: Reading
) -> Response:
    """Mend a slip in a service."""
    found = upkeep.service_by(session, number)
    page = _change(found, place)

    def act(unit: Session) -> None:
        values: dict[str, Any] = forms.values(form, _PLAIN)
        values |= moments.typed(form, page.fields, ("at",), place, now)
        # Items that were not touched keep their notes, which the form doesn't show.
        if _items(form) != ",".join(_named(found)):
            values["items"] = _items(form)
        upkeep.change_service(unit, number, values, now, forms.seen(form))

    return forms.done(request, now, form, page, act, f"/{found[0].code}")


def _again(line: ServiceLine) -> str:
    return "/services/new?" + urlencode(
        {"item": line.name, "kind": line.kind, "work": line.work[:200]}
    )


def _items(form: dict[str, str]) -> str:
    """Return the things as the draft reads them; those without a result get the common one."""
    parts = [part.strip() for part in form.get("items", "").replace("\n", ",").split(",")]
    common = form.get("result", "")
    return ",".join(
        part if "=" in part or not common else f"{part}={common}" for part in parts if part
    )


def _named(found: tuple[ServiceLine, ...]) -> list[str]:
    return [f"{one.name}={one.result}" if one.result else one.name for one in found]


def _fields(line: ServiceLine | None) -> tuple[Field, ...]:
    def told(name: str) -> str:
        return str(getattr(line, name, None) or "")

    cost = "" if line is None or line.cost_minor is None else f"{line.cost_minor / 100:.2f}"
    return (
        Field("tester", "Who tested", told("tester")),
        Field("cost", "Cost", cost, hint="Like 240 or 12.50."),
        Field("next_due", "Due again", told("next_due"), "date"),
        Field("fault", "For fault number", told("fault"), "number"),
    )


_EACH = "A line each; what was found after an equals sign, like CC-01=pass."
_SAFE = "Mains and fixed wiring: local rules decide who may test and repair."


def _new(item: str, kind: str, work: str) -> FormPage:
    fields = (
        Field("kind", "Kind", kind, "choice", "", tuple(ServiceKind)),
        Field("work", "What was done", work, "words"),
        Field("items", "On which things", item, "words", _EACH),
        Field("result", "Found on all others", "", "choice", "", ("", *Result)),
        *_fields(None),
    )
    title = "Write a service down"
    return FormPage(title, "/services/new", "Keep it", fields, _SAFE, back="/services")


def _change(found: tuple[ServiceLine, ...], place: Workspace) -> FormPage:
    line = found[0]
    fields = (
        Field("seen", value=str(line.version), kind="hidden"),
        Field("kind", "Kind", line.kind, "choice", "", tuple(ServiceKind)),
        Field("at", "When", moments.told(line.at, place), hint=moments.HINT),
        Field("work", "What was done", line.work, "words"),
        Field("items", "On which things", "\n".join(_named(found)), "words", _EACH),
        *_fields(line),
    )
    action = f"/services/{line.number}/change"
    title = f"Mend service {line.number}"
    return FormPage(title, action, "Mend it", fields, back=f"/{line.code}")
