"""The list of things, narrowed and paged."""

from dataclasses import replace
from urllib.parse import quote

from fastapi import APIRouter, Request, Response

from kb import trade
from kb.errors import KitloreError
from kb.gear import views
from kb.gear.views import ItemLine
from kb.records.kinds import ItemState
from kb.web import failures, forms, paging
from kb.web.depends import Reading
from kb.web.forms import Cell, Field, ListPage
from kb.web.paging import Start

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
    ("Labels", "/labels"),
    ("People", "/people"),
)
_FILTERS = ("state", "equipment_class", "model", "place", "text")


@router.get("/gear")
def gear(request: Request, session: Reading, start: Start = 0) -> Response:
    """List things by name; the address narrows the list."""
    asked = {name: request.query_params.get(name, "") for name in _FILTERS}
    try:
        lines, count = (
            views.item_lines(session, asked, PAGE, start),
            views.item_count(session, asked),
        )
    except KitloreError as error:
        page = replace(_list(asked), problems=failures.problems_of(error))
        return forms.listed(request, page, failures.status_of(error))
    before, after = paging.beside("/gear", asked, start, PAGE, more=start + PAGE < count)
    page = replace(
        _list(asked),
        rows=tuple(_row(line) for line in lines),
        before=before,
        after=after,
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


def _row(line: ItemLine) -> tuple[Cell, ...]:
    return (
        Cell(line.name, f"/{line.code}"),
        Cell(line.state, kind="state"),
        Cell(line.model or "", f"/gear/models/{quote(line.model)}" if line.model else ""),
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
