"""How fast a drive writes: what was measured, measured anew, slips mended."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.gear import drives, lookup
from kb.gear.drives import DriveTestLine
from kb.records.workspace import Workspace
from kb.web import forms, moments
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_MEGA = 1_000_000
_MEASURED = ("write_rate", "note")


@router.get("/{code}/speed")
def measured(request: Request, code: str, session: Reading, place: Place) -> Response:
    """List what the tests of a drive measured, the newest first."""
    name = lookup.item(session, code).name
    found = drives.tests_of(session, code)
    page = ListPage(
        title=f"How fast {name} writes",
        columns=("When", "MB/s", "Note", "Mend"),
        rows=tuple(_row(code, one, place) for one in found),
        empty="It was never tested.",
        ways=(("Write a test down", f"/{code}/speed/new"), (name, f"/{code}")),
        count=len(found),
    )
    return forms.listed(request, page)


@router.get("/{code}/speed/new")
def new(request: Request, code: str, session: Reading) -> Response:
    """Show the form for a test."""
    return forms.shown(request, _new(code, lookup.item(session, code).name))


@router.post("/{code}/speed/new")
def measure(request: Request, code: str, form: Form, session: Reading, now: Now) -> Response:
    """Record how fast a drive was written to."""
    values: dict[str, Any] = {"note": form.get("note"), "write_rate": form.get("write_rate", "")}
    act = partial(drives.add_test, typed=code, at=now, **values)
    page = _new(code, lookup.item(session, code).name)
    return forms.done(request, now, form, page, act, f"/{code}/speed")


@router.get("/{code}/speed/{number}")
def change(request: Request, code: str, number: int, session: Reading, place: Place) -> Response:
    """Show the form that mends a slip in a test."""
    return forms.shown(request, _change(code, session, number, place))


@router.post("/{code}/speed/{number}")
def changed(
    request: Request,
    code: str,
    number: int,
    form: Form,
    session: Reading,
    place: Place,
    now: Now,
) -> Response:
    """Mend a slip in a test."""
    page = _change(code, session, number, place)

    def act(unit: Session) -> None:
        values: dict[str, Any] = forms.values(form, ("item", *_MEASURED))
        values |= moments.typed(form, page.fields, ("at",), place, now)
        drives.change_test(unit, number, values, forms.seen(form))

    return forms.done(request, now, form, page, act, f"/{code}/speed")


def _row(code: str, one: DriveTestLine, place: Workspace) -> tuple[Cell, ...]:
    return (
        Cell(moments.told(one.at, place), kind="time"),
        Cell(f"{one.write_rate / _MEGA:.4g}", kind="number"),
        Cell(one.note or ""),
        Cell("a slip", f"/{code}/speed/{one.number}"),
    )


def _rate(value: str = "") -> Field:
    hint = "What it wrote for minutes on end, like 182 MB/s."
    return Field("write_rate", "Sustained write speed", value, hint=hint)


def _new(code: str, name: str) -> FormPage:
    title = f"Write down how fast {name} writes"
    fields = (_rate(), Field("note", "Note", kind="words"))
    there = f"/{code}/speed"
    return FormPage(title, f"{there}/new", "Write it down", fields, back=there)


def _change(code: str, session: Session, number: int, place: Workspace) -> FormPage:
    name = lookup.item(session, code).name
    found = [one for one in drives.tests_of(session, code) if one.number == number]
    if not found:
        raise NotFoundError("test", str(number), f"See how fast {name} writes for its tests.")
    line = found[0]
    fields = (
        Field("seen", value=str(line.version), kind="hidden"),
        Field("item", "Drive", name, hint="Its code or name."),
        _rate(f"{line.write_rate / _MEGA:.12g} MB/s"),
        Field("at", "Measured", moments.told(line.at, place), hint=moments.HINT),
        Field("note", "Note", line.note or "", "words"),
    )
    there = f"/{code}/speed"
    return FormPage(f"Mend a test of {name}", f"{there}/{number}", "Mend it", fields, back=there)
