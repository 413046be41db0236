"""Lists of things and of models."""

from dataclasses import replace
from functools import partial
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb import trade
from kb.errors import KitloreError
from kb.gear import lookup, models, views
from kb.gear.views import ItemLine, ModelLine
from kb.records.kinds import ItemState
from kb.web import failures, forms
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
PAGE = 50
_WAYS = (
    ("Add a thing", "/gear/new"),
    ("Models", "/gear/models"),
    ("Places", "/places"),
    ("Links", "/links"),
    ("Shows", "/shows"),
    ("Loans", "/loans"),
    ("Spares", "/spares"),
    ("Services due", "/services"),
    ("People", "/people"),
)
_FILTERS = ("state", "equipment_class", "model", "place", "text")


@router.get("/gear")
def gear(request: Request, session: Reading, offset: int = 0) -> Response:
    """List things by name; the address narrows the list."""
    asked = {name: request.query_params.get(name, "") for name in _FILTERS}
    start = max(0, min(offset, 10_000_000))
    try:
        lines, count = (
            views.item_lines(session, asked, PAGE, start),
            views.item_count(session, asked),
        )
    except KitloreError as error:
        page = replace(_list(asked), problems=failures.problems_of(error))
        return forms.listed(request, page, failures.status_of(error))
    page = replace(
        _list(asked),
        rows=tuple(_row(line) for line in lines),
        before=_page(asked, start - PAGE) if start else "",
        after=_page(asked, start + PAGE) if start + PAGE < count else "",
        count=count,
    )
    return forms.listed(request, page)


def _list(asked: dict[str, str]) -> ListPage:
    """Return the list with its filters as they were typed, before anything was found."""
    return ListPage(
        title="Gear",
        columns=("Name", "State", "Model", "Class", "Lies at", "Away"),
        rows=(),
        empty="Nothing fits. Take a filter off, or add a thing.",
        filters=_filters(asked),
        action="/gear",
        ways=_WAYS,
    )


@router.get("/gear/models")
def all_models(request: Request, session: Reading) -> Response:
    """List the models."""
    rows = tuple(_model_row(line) for line in views.model_lines(session))
    page = ListPage(
        title="Models",
        columns=("Model", "Class", "In use", "Data"),
        rows=rows,
        empty="No model yet.",
        ways=(("Add a model", "/gear/models/new"), ("Gear", "/gear")),
    )
    return forms.listed(request, page)


@router.get("/gear/models/new")
def new_model(request: Request) -> Response:
    """Show the form for a new model."""
    return forms.shown(request, _model_form(None))


@router.post("/gear/models/new")
def add_model(request: Request, form: Form, now: Now) -> Response:
    """Add a model."""
    act = partial(models.add_model, values=forms.values(form, _MODEL))
    return forms.done(request, now, form, _model_form(None), act, "/gear/models")


@router.get("/gear/models/{name:path}/change")
def change_model(request: Request, name: str, session: Reading) -> Response:
    """Show the form that changes a model."""
    return forms.shown(request, _model_form(_model(session, name)))


@router.post("/gear/models/{name:path}/change")
def changed_model(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Change a model."""
    values = forms.values(form, _MODEL)
    act = partial(models.change_model, typed=name, values=values, seen=forms.seen(form))
    page = _model_form(_model(session, name))
    return forms.done(request, now, form, page, act, "/gear/models")


@router.get("/gear/models/{name:path}/merge")
def merge_model(request: Request, name: str, session: Reading) -> Response:
    """Show the form that says that two models are one."""
    return forms.shown(request, _merge_form(session, name))


@router.post("/gear/models/{name:path}/merge")
def merged_model(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Say that two models are one."""
    act = partial(
        models.merge_model, typed=name, into=form.get("into", ""), at=now, seen=forms.seen(form)
    )
    return forms.done(request, now, form, _merge_form(session, name), act, "/gear/models")


_MODEL = ("maker", "name", "equipment_class", "technical")


def _row(line: ItemLine) -> tuple[Cell, ...]:
    return (
        Cell(line.name, f"/{line.code}"),
        Cell(line.state, kind="state"),
        Cell(line.model or ""),
        Cell((line.equipment_class or "").replace("-", " ")),
        Cell(line.place),
        Cell(f"with {line.on_loan_to}" if line.on_loan_to else ""),
    )


def _filters(asked: dict[str, str]) -> tuple[Field, ...]:
    return (
        Field("text", "Words or code", asked["text"]),
        Field("state", "State", asked["state"], "choice", "", ("", *ItemState)),
        Field(
            "equipment_class",
            "Class",
            asked["equipment_class"],
            "choice",
            "",
            ("", *trade.CLASSES),
        ),
        Field("model", "Model", asked["model"]),
        Field("place", "Place", asked["place"]),
    )


def _page(asked: dict[str, str], offset: int) -> str:
    kept = {name: value for name, value in asked.items() if value}
    return "/gear?" + urlencode(kept | {"offset": max(0, offset)})


def _model_row(line: ModelLine) -> tuple[Cell, ...]:
    name = f"{line.maker} {line.name}"
    data = ", ".join(f"{key}={value}" for key, value in line.technical.items())
    return (
        Cell(name, _at(name, "change")),
        Cell((line.equipment_class or "").replace("-", " ")),
        Cell(str(line.items), "/gear?" + urlencode({"model": name}), "number"),
        Cell(data),
    )


def _at(name: str, way: str) -> str:
    """Return the address of what is done with a model; its name may hold a slash."""
    return f"/gear/models/{quote(name)}/{way}"


def _model(session: Session, name: str) -> ModelLine:
    """Return the model of that name.

    Raises:
        NotFoundError: There is none.
    """
    key = lookup.model(session, name)
    whole = (key.maker, key.name)
    return next(one for one in views.model_lines(session) if (one.maker, one.name) == whole)


def _model_form(line: ModelLine | None) -> FormPage:
    # A line each, the last ended too, so that a comma is a part of what it stands in.
    data = "".join(f"{k}={v}\n" for k, v in line.technical.items()) if line else ""
    fields = (
        Field("seen", value=str(line.version) if line else "", kind="hidden"),
        Field("maker", "Maker", line.maker if line else ""),
        Field("name", "Name", line.name if line else ""),
        Field(
            "equipment_class",
            "Class",
            (line.equipment_class or "") if line else "",
            "choice",
            "It brings usual symptoms and comparisons.",
            ("", *trade.CLASSES),
        ),
        Field("technical", "Technical data", data, "words", "A line each, like length=3 m."),
    )
    if line is None:
        return FormPage("Add a model", "/gear/models/new", "Add it", fields, back="/gear/models")
    name = f"{line.maker} {line.name}"
    action, merge = _at(name, "change"), (("It is another model too", _at(name, "merge")),)
    return FormPage(f"Change {name}", action, "Change it", fields, back="/gear/models", ways=merge)


def _merge_form(session: Session, name: str) -> FormPage:
    line = _model(session, name)
    whole = f"{line.maker} {line.name}"
    note = f"All {line.items} items of {whole} become items of the one that stays."
    fields = (
        Field("seen", value=str(line.version), kind="hidden"),
        Field("into", "The one that stays", hint="Maker and name."),
    )
    action = _at(whole, "merge")
    title = f"Is {whole} the same as another model?"
    return FormPage(title, action, "They are one", fields, note, back="/gear/models")
