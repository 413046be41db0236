"""Spares: how many must lie ready, how many do, and what is short."""

from functools import partial
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.gear import spares
from kb.gear.spares import SpareLine
from kb.web import forms
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_NAMES = ("name", "minimum", "models", "place", "on_hand", "needed_rate")
_MEGA = 1_000_000


@router.get("/spares")
def ready(request: Request, session: Reading, now: Now) -> Response:
    """List how many spares must lie ready and how many do, what is short first."""
    found = sorted(spares.spares(session, now), key=lambda one: one.ready - one.minimum)
    short = sum(one.ready < one.minimum for one in found)
    page = ListPage(
        title="Spares",
        columns=("What", "Enough", "Missing", "Ready", "At least", "Where", "Of these models"),
        rows=tuple(_row(one) for one in found),
        empty="Nobody said yet what must lie ready.",
        note=f"Short: {short} of {len(found)}." if found else "",
        ways=(("Say what must lie ready", "/spares/new"), ("Gear", "/gear")),
    )
    return forms.listed(request, page)


@router.get("/spares/new")
def new(request: Request) -> Response:
    """Show the form that says what must lie ready."""
    return forms.shown(request, _new())


@router.post("/spares/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Say what must lie ready."""
    act = partial(spares.set_spare, values=forms.values(form, _NAMES))
    return forms.done(request, now, form, _new(), act, "/spares")


@router.get("/spares/{name:path}/change")
def change(request: Request, name: str, session: Reading, now: Now) -> Response:
    """Show the form that changes what must lie ready, or counts again by hand."""
    return forms.shown(request, _change(_line(session, name, now)))


@router.post("/spares/{name:path}/change")
def changed(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Change what must lie ready, or count again by hand."""
    values = forms.values(form, _NAMES)
    act = partial(spares.change_spare, name=name, values=values, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, _change(_line(session, name, now)), act, "/spares")


@router.get("/spares/{name:path}/remove")
def remove(request: Request, name: str, session: Reading, now: Now) -> Response:
    """Show the form that says that none must lie ready any more."""
    return forms.shown(request, _remove(_line(session, name, now)))


@router.post("/spares/{name:path}/remove")
def removed(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Say that none must lie ready any more."""
    act = partial(spares.remove_spare, name=name, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, _remove(_line(session, name, now)), act, "/spares")


def _line(session: Session, name: str, now: Now) -> SpareLine:
    """Return the rule of that name.

    Raises:
        NotFoundError: There is none.
    """
    wanted = " ".join(name.split()).casefold()
    for line in spares.spares(session, now):
        if line.name.casefold() == wanted:
            return line
    raise NotFoundError("rule for spares", name, "See the list of spares.")


def _row(line: SpareLine) -> tuple[Cell, ...]:
    missing = max(0, line.minimum - line.ready)
    return (
        Cell(line.name, f"/spares/{quote(line.name)}/change"),
        Cell("short" if missing else "enough", kind="state"),
        Cell(str(missing or ""), kind="number"),
        Cell(str(line.ready), kind="number"),
        Cell(str(line.minimum), kind="number"),
        Cell(line.place),
        Cell(", ".join(line.models) or "counted by hand"),
    )


def _fields(line: SpareLine | None) -> tuple[Field, ...]:
    def told(name: str) -> str:
        value = getattr(line, name, None)
        return "" if value is None else str(value)

    models = "; ".join(line.models) if line else ""
    rate = _rate(line.needed_rate) if line and line.needed_rate else ""
    return (
        Field("name", "What", told("name"), hint="Like HDMI 2 to 3 m."),
        Field("minimum", "At least", told("minimum"), "number"),
        Field("models", "Models that serve", models, hint="Divided by semicolons."),
        Field("place", "Where they lie", told("place")),
        Field("on_hand", "Counted by hand", told("on_hand"), "number", "For what has no labels."),
        Field("needed_rate", "Drives: write speed needed", rate, hint="Like 41.3 MB/s."),
    )


def _rate(rate: int) -> str:
    """Return a rate as it's typed, none of its digits lost."""
    return f"{rate / _MEGA:.6f}".rstrip("0").rstrip(".") + " MB/s"


def _new() -> FormPage:
    return FormPage("What must lie ready?", "/spares/new", "Say so", _fields(None), back="/spares")


def _seen(line: SpareLine) -> Field:
    return Field("seen", value=str(line.version), kind="hidden")


def _change(line: SpareLine) -> FormPage:
    there = f"/spares/{quote(line.name)}"
    note = f"{line.ready} lie ready now; at least {line.minimum} must."
    return FormPage(
        f"Spares: {line.name}",
        f"{there}/change",
        "Change it",
        (_seen(line), *_fields(line)),
        note,
        back="/spares",
        ways=(("None must lie ready any more", f"{there}/remove"),),
    )


def _remove(line: SpareLine) -> FormPage:
    action = f"/spares/{quote(line.name)}/remove"
    title = f"Must no spare of {line.name} lie ready any more?"
    return FormPage(title, action, "None must", (_seen(line),), back="/spares")
