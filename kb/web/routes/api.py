"""The same functions for programs: JSON in and out, problems after RFC 9457."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Body, Query, Request

from kb.checking import Draft
from kb.entries import library
from kb.entries.library import EntryLine, EntryPage
from kb.faults import attempts, closing, log, views
from kb.faults.drafts import AttemptDraft, CauseDraft, FaultDraft
from kb.faults.views import FaultLine, FaultPage
from kb.gear import pages as gear_pages
from kb.gear import views as gear_views
from kb.gear.pages import ItemPage
from kb.gear.views import ItemLine
from kb.records.kinds import FaultState
from kb.review import report
from kb.review.report import ModelReview
from kb.search import narrowing, told
from kb.web import asking, depends
from kb.web.asking import Question
from kb.web.depends import Now, Place, Reading

PROBLEM = {
    "description": "A problem document (RFC 9457): what is wrong, field by field, and the mend.",
    "content": {"application/problem+json": {"schema": {"type": "object"}}},
}
router = APIRouter(
    prefix="/api", responses=dict.fromkeys((404, 409, 422, 503), PROBLEM), tags=["api"]
)
Typed = Annotated[dict[str, Any], Body()]
Limit = Annotated[int, Query(ge=1, le=500)]
Offset = Annotated[int, Query(ge=0, le=10_000_000)]


@dataclass(frozen=True)
class Made:
    """What was made: its number."""

    number: int


def takes(draft: type[Draft]) -> dict[str, Any]:
    """Return, for the description of the API, that a call takes the fields of a draft."""
    schema = {"schema": draft.model_json_schema(ref_template="#/components/schemas/{model}")}
    schema["schema"].pop("$defs", None)
    return {"requestBody": {"content": {"application/json": schema}, "required": True}}


@router.get("/find")
def find(session: Reading, place: Place, now: Now, asked: Question) -> dict[str, Any]:
    """Search by what is seen or heard."""
    found = asking.ask(session, place, now, asked)
    return told.plain(found, narrowing.question(found, asked.told))


@router.get("/items")
def items(
    request: Request, session: Reading, limit: Limit = 50, offset: Offset = 0
) -> tuple[ItemLine, ...]:
    """List items by name; the other parameters narrow the list."""
    values = {
        name: value
        for name, value in request.query_params.items()
        if name not in ("limit", "offset")
    }
    return gear_views.item_lines(session, values, limit, offset)


@router.get("/items/{code}")
def item(session: Reading, code: str) -> ItemPage:
    """Return a thing, by its code or name."""
    return gear_pages.item_page(session, code)


@router.get("/faults")
def faults(
    session: Reading,
    place: Place,
    now: Now,
    state: FaultState | None = None,
    item: str | None = None,
    at: Annotated[str | None, Query(alias="place")] = None,
    entry: str | None = None,
    text: str | None = None,
    limit: Limit = 50,
    offset: Offset = 0,
) -> tuple[FaultLine, ...]:
    """List faults, the newest first."""
    return views.fault_lines(
        session,
        now,
        place.settings.hold_days,
        state=state,
        item=item,
        place=at,
        entry=entry,
        text=text,
        limit=limit,
        offset=offset,
    )


@router.post("/faults", status_code=201, openapi_extra=takes(FaultDraft))
def log_fault(request: Request, now: Now, typed: Typed) -> Made:
    """Log a fault; the same client_key a second time logs nothing twice."""
    with depends.writing(request, now) as unit:
        return Made(log.log_fault(unit, typed, now))


@router.get("/faults/{number}")
def fault(session: Reading, place: Place, now: Now, number: int) -> FaultPage:
    """Return a fault with what was tried."""
    return views.fault_page(session, number, now, place.settings.hold_days)


@router.post("/faults/{number}/attempts", status_code=201, openapi_extra=takes(AttemptDraft))
def attempt(request: Request, now: Now, number: int, typed: Typed) -> Made:
    """Record that a fix was tried."""
    with depends.writing(request, now) as unit:
        return Made(attempts.record_attempt(unit, number, typed, now))


@router.post("/faults/{number}/close", openapi_extra=takes(CauseDraft))
def close(request: Request, now: Now, number: int, typed: Typed) -> Made:
    """Close a fault with its cause."""
    with depends.writing(request, now) as unit:
        closing.close_fault(unit, number, typed, now)
    return Made(number)


@router.post("/faults/{number}/cause", openapi_extra=takes(CauseDraft))
def cause(request: Request, now: Now, number: int, typed: Typed) -> Made:
    """Name another cause of a closed fault, which still works."""
    with depends.writing(request, now) as unit:
        closing.correct_cause(unit, number, typed)
    return Made(number)


@router.post("/faults/{number}/reopen")
def reopen(request: Request, now: Now, number: int) -> Made:
    """Open a fault again: it is back."""
    with depends.writing(request, now) as unit:
        closing.reopen_fault(unit, number, now)
    return Made(number)


@router.get("/entries")
def entries(session: Reading, area: str | None = None) -> tuple[EntryLine, ...]:
    """List the entries of the troubleshooting base."""
    return library.entry_lines(session, area)


@router.get("/entries/{slug}")
def entry(session: Reading, slug: str) -> EntryPage:
    """Return an entry, parsed and as Markdown."""
    return library.entry_page(session, slug)


@router.get("/review/models")
def review(
    session: Reading,
    place: Place,
    now: Now,
    since: date | None = None,
    until: date | None = None,
    confidence: float = 0.9,
) -> ModelReview:
    """Return how often each model fails, with exact limits."""
    return report.review_models(
        session, place.settings, now, since=since, until=until, confidence=confidence
    )
