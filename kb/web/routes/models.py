"""Models: listed, looked at, added, changed, merged."""

from functools import partial
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb import trade
from kb.checking import Draft, OptionalLine, check
from kb.errors import KitloreError, Problem
from kb.gear import lookup, models, views
from kb.gear.drafts import EquipmentClass
from kb.gear.views import ModelLine
from kb.records import session as units
from kb.web import depends, failures, forms, pages
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage
from kb.web.shown_gear import ModelMergePage, ModelPage

router = APIRouter(include_in_schema=False)
_SHOWN = 50
_NAMES = ("maker", "name", "equipment_class", "technical")
_LIST = "/gear/models"


class Wanted(Draft):
    """Which models are listed."""

    text: OptionalLine = None
    equipment_class: EquipmentClass = None


@router.get("/gear/models")
def listed(
    request: Request, session: Reading, text: str = "", equipment_class: str = ""
) -> Response:
    """List the models; the address narrows the list."""
    found: tuple[ModelLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    try:
        wanted = check(Wanted, {"text": text, "equipment_class": equipment_class})
        found = tuple(one for one in views.model_lines(session) if _fits(one, wanted))
    except KitloreError as error:
        problems = failures.problems_of(error)
    page = ListPage(
        title="Models",
        columns=("Model", "Class", "In use", "Data"),
        rows=tuple(_row(line) for line in found),
        empty="No such model.",
        filters=(
            Field("text", "Words", text),
            Field("equipment_class", "Class", equipment_class, "choice", "", ("", *trade.CLASSES)),
        ),
        action=_LIST,
        ways=(("Add a model", f"{_LIST}/new"), ("Gear", "/gear")),
        count=len(found),
        problems=problems,
    )
    return forms.listed(request, page, 422 if problems else 200)


@router.get("/gear/models/new")
def new(request: Request) -> Response:
    """Show the form for a new model."""
    return forms.shown(request, _new())


@router.post("/gear/models/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Add a model and open its page."""
    act = partial(models.add_model, values=forms.values(form, _NAMES))
    return forms.done(request, now, form, _new(), act, lambda name: _at(str(name)))


@router.get("/gear/models/{name:path}/change")
def change(request: Request, name: str, session: Reading) -> Response:
    """Show the form that changes a model."""
    return forms.shown(request, _change(_line(session, name)))


@router.post("/gear/models/{name:path}/change")
def changed(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Change a model; its page is under its new name then."""

    def act(unit: Session) -> str:
        models.change_model(unit, name, forms.values(form, _NAMES), forms.seen(form))
        typed = (form.get("maker", line.maker), form.get("name", line.name))
        return " ".join(" ".join(typed).split())

    line = _line(session, name)
    return forms.done(request, now, form, _change(line), act, lambda made: _at(str(made)))


@router.get("/gear/models/{name:path}/merge")
def merge(request: Request, name: str, session: Reading, into: str = "") -> Response:
    """Show two models side by side before they become one."""
    return _both(request, session, name, into)


@router.post("/gear/models/{name:path}/merge")
def merged(request: Request, name: str, form: Form, now: Now) -> Response:
    """Say that two models are one."""
    into = form.get("into", "")
    try:
        with depends.writing(request, now) as unit:
            models.merge_model(unit, name, into, now, forms.seen(form))
            kept = lookup.model(unit, into)
            there = _at(f"{kept.maker} {kept.name}")
    except KitloreError as error:
        problems, status = failures.problems_of(error), failures.status_of(error)
        with units.read(request.app.state.engine) as unit:
            return _both(request, unit, name, into, problems, status)
    return RedirectResponse(there, pages.SEE_OTHER)


@router.get("/gear/models/{name:path}")
def model(request: Request, name: str, session: Reading) -> Response:
    """Show a model and what there is of it."""
    line = _line(session, name)
    wanted = {"model": f"{line.maker} {line.name}"}
    page = ModelPage(
        model=line,
        address=_at(wanted["model"]),
        items=views.item_lines(session, wanted, _SHOWN),
    )
    return pages.show(request, "model.html", page)


def _both(
    request: Request,
    session: Session,
    name: str,
    into: str,
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> Response:
    """Show both models, or the first alone while the other isn't known."""
    line, other = _line(session, name), None
    try:
        other = _line(session, into) if into else None
    except KitloreError as error:
        problems = problems or failures.problems_of(error)
        status = max(status, failures.status_of(error))
    address = _at(f"{line.maker} {line.name}")
    page = ModelMergePage(line, other, address, into, _names(session, line), problems)
    return pages.show(request, "model_merge.html", page, status)


def _names(session: Session, line: ModelLine) -> tuple[str, ...]:
    """Return the names of all other models."""
    found = (one for one in views.model_lines(session) if one != line)
    return tuple(f"{one.maker} {one.name}" for one in found)


def _fits(line: ModelLine, wanted: Wanted) -> bool:
    if wanted.equipment_class not in (None, line.equipment_class):
        return False
    text = f"{line.maker} {line.name} {_data(line)}".casefold()
    return all(word in text for word in (wanted.text or "").casefold().split())


def _data(line: ModelLine) -> str:
    return ", ".join(f"{key}={value}" for key, value in line.technical.items())


def _row(line: ModelLine) -> tuple[Cell, ...]:
    name = f"{line.maker} {line.name}"
    return (
        Cell(name, _at(name)),
        Cell((line.equipment_class or "").replace("-", " ")),
        Cell(str(line.items), "/gear?" + urlencode({"model": name}), "number"),
        Cell(_data(line)),
    )


def _at(name: str, way: str = "") -> str:
    """Return the address of a model, or of what is done with it; its name may hold a slash."""
    return f"{_LIST}/{quote(name)}{way and '/' + way}"


def _line(session: Session, name: str) -> ModelLine:
    """Return the model of that name.

    Raises:
        ConflictError: Several makers have one.
        NotFoundError: There is none.
    """
    key = lookup.model(session, name)
    whole = (key.maker, key.name)
    return next(one for one in views.model_lines(session) if (one.maker, one.name) == whole)


def _fields(line: ModelLine | None) -> tuple[Field, ...]:
    # A line each, the last ended too, so that a comma is a part of what it stands in.
    data = "".join(f"{k}={v}\n" for k, v in line.technical.items()) if line else ""
    kind = (line.equipment_class or "") if line else ""
    hint = "It brings usual symptoms and comparisons."
    return (
        Field("maker", "Maker", line.maker if line else ""),
        Field("name", "Name", line.name if line else ""),
        Field("equipment_class", "Class", kind, "choice", hint, ("", *trade.CLASSES)),
        Field("technical", "Technical data", data, "words", "A line each, like length=3 m."),
    )


def _new() -> FormPage:
    return FormPage("Add a model", f"{_LIST}/new", "Add it", _fields(None), back=_LIST)


def _change(line: ModelLine) -> FormPage:
    name = f"{line.maker} {line.name}"
    fields = (Field("seen", value=str(line.version), kind="hidden"), *_fields(line))
    ways = (("It is in here twice", _at(name, "merge")),)
    title = f"Change {name}"
    return FormPage(title, _at(name, "change"), "Change it", fields, back=_at(name), ways=ways)
