"""Faults in a list, narrowed by what its address says."""

from typing import Annotated

from fastapi import APIRouter, Request, Response
from pydantic import BeforeValidator

from kb.checking import Draft, OptionalLine, check, empty_is_none
from kb.errors import KitloreError, Problem
from kb.faults import views
from kb.faults.views import FaultLine
from kb.records.kinds import FaultState
from kb.records.workspace import Workspace
from kb.web import failures, forms, moments, paging
from kb.web.depends import Now, Place, Reading
from kb.web.forms import Cell, Field, ListPage
from kb.web.paging import Start

router = APIRouter(include_in_schema=False)
PAGE = 50
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
    request: Request, session: Reading, place: Place, now: Now, start: Start = 0
) -> Response:
    """List faults, the newest first; the address narrows the list."""
    asked = {name: request.query_params.get(name, "") for name in _FILTERS}
    found: tuple[FaultLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    status = 200
    try:
        wanted = dict(check(Wanted, asked))
        days = place.settings.hold_days
        found = views.fault_lines(session, now, days, **wanted, limit=PAGE + 1, offset=start)
    except KitloreError as error:
        problems, status = failures.problems_of(error), failures.status_of(error)
    before, after = paging.beside("/faults", asked, start, PAGE, more=len(found) > PAGE)
    page = ListPage(
        title="Faults",
        columns=("Reported", "State", "Noticed", "Seen on", "Effect", "Cause"),
        rows=tuple(_row(one, place) for one in found[:PAGE]),
        empty="No such fault.",
        filters=_filters(asked),
        action="/faults",
        ways=(("Log a fault", "/log"), ("Open ones", "/faults?state=open"), ("All", "/faults")),
        before=before,
        after=after,
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


def _row(line: FaultLine, place: Workspace) -> tuple[Cell, ...]:
    cause = line.cause_kind + (f": {line.cause_item}" if line.cause_item else "")
    return (
        Cell(line.text, f"/faults/{line.number}"),
        Cell(line.state, kind="state"),
        Cell(moments.told(line.noticed_at, place), kind="time"),
        Cell(line.item or line.place, f"/{line.code}" if line.code else ""),
        Cell(line.effect),
        Cell(cause),
    )
