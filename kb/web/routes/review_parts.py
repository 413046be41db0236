"""The reviews that speak in parts, as a page, a printable PDF, charts and sheets."""

from collections.abc import Mapping
from datetime import date, datetime
from enum import StrEnum
from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Query, Request, Response
from pydantic import Field
from sqlmodel import Session

from kb.checking import OptionalDay, OptionalLine, check
from kb.errors import InvalidError, KitloreError, NotFoundError, Problem
from kb.exchange import csv_form
from kb.records.workspace import Workspace
from kb.review import charts, gather, printed, reviews
from kb.review.facts import Frame
from kb.review.paper import Part, Review
from kb.review.parts import first
from kb.review.parts.costs import Plans
from kb.review.parts.replacing import Offer
from kb.web import failures, pages
from kb.web.depends import Now, Place, Reading
from kb.web.shown_review import Choice, PartsPage

router = APIRouter(include_in_schema=False)
_SVG = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}


class Kind(StrEnum):
    """What is reviewed."""

    FIRST = "first"
    MODEL = "model"
    ITEM = "item"
    BUY = "buy"
    BEFORE = "before"
    DRIVES = "drives"
    FIXES = "fixes"
    REPLACE = "replace"


TITLES: Mapping[Kind, str] = {
    Kind.FIRST: "What to look at first",
    Kind.MODEL: "One model",
    Kind.ITEM: "One item",
    Kind.BUY: "Before you buy",
    Kind.BEFORE: "Before and after a day",
    Kind.DRIVES: "Drives",
    Kind.FIXES: "What worked",
    Kind.REPLACE: "Mend or replace",
}
_NAMED = frozenset({Kind.MODEL, Kind.ITEM, Kind.BUY, Kind.BEFORE, Kind.REPLACE})


class Asked(Offer):
    """What a review is asked for, as typed."""

    name: OptionalLine = None
    model: OptionalLine = None
    since: OptionalDay = None
    until: OptionalDay = None
    confidence: Annotated[float, Field(gt=0, lt=1)] = 0.9
    day: OptionalDay = None
    what: OptionalLine = None
    rank: Annotated[str, Field(pattern=f"^({'|'.join(first.WAYS)})$")] = "rate"
    lead: Annotated[int, Field(ge=1, le=3650)] = 30
    service: Annotated[float, Field(gt=0, lt=1)] = 0.95


@router.get("/review/{kind}")
def page(kind: Kind, request: Request, session: Reading, place: Place, now: Now) -> Response:
    """Show a review, or the form that asks for what it needs."""
    typed = _typed(request)
    found: Review | None = None
    problems: tuple[Problem, ...] = ()
    status = 200
    if kind not in _NAMED or typed.get("name"):
        try:
            found = _made(kind, session, place, now, typed)
        except KitloreError as error:
            problems, status = failures.problems_of(error), failures.status_of(error)
    shown = PartsPage(
        kind=kind.value,
        title=found.title if found else TITLES[kind],
        review=found,
        typed=typed,
        query=urlencode(typed, quote_via=quote),
        choices=_choices(kind, session),
        problems=problems,
    )
    return pages.show(request, "review_parts.html", shown, status)


@router.get("/review/{kind}/paper.pdf")
def paper(kind: Kind, request: Request, session: Reading, place: Place, now: Now) -> Response:
    """Print a review."""
    found = _made(kind, session, place, now, _typed(request))
    headers = {"Content-Disposition": 'inline; filename="review.pdf"'}
    content = printed.pdf(found, place.folder.name)
    return Response(content, media_type="application/pdf", headers=headers)


@router.get("/review/{kind}/{key}.svg")
def chart(
    kind: Kind,
    key: str,
    request: Request,
    session: Reading,
    place: Place,
    now: Now,
    theme: Annotated[str, Query()] = "dark",
) -> Response:
    """Draw the chart of a part."""
    part = _part(_made(kind, session, place, now, _typed(request)), key)
    if part.chart is None:
        raise NotFoundError("chart", key, "That part has none.")
    colours = charts.LIGHT if theme == "light" else charts.DARK
    return Response(charts.drawn(part.chart, colours), media_type="image/svg+xml", headers=_SVG)


@router.get("/review/{kind}/{key}.csv")
def sheet(
    kind: Kind, key: str, request: Request, session: Reading, place: Place, now: Now
) -> Response:
    """Give the table of a part as a sheet."""
    part = _part(_made(kind, session, place, now, _typed(request)), key)
    if part.table is None:
        raise NotFoundError("table", key, "That part has none.")
    headers = {"Content-Disposition": f'attachment; filename="{part.key}.csv"'}
    content = csv_form.written(*part.table.as_texts())
    return Response(content, media_type="text/csv; charset=utf-8", headers=headers)


def _typed(request: Request) -> dict[str, str]:
    """Return what was filled in of what a review knows."""
    known = Asked.model_fields
    return {name: text for name, text in request.query_params.items() if name in known and text}


def _made(
    kind: Kind, session: Session, place: Workspace, now: datetime, typed: Mapping[str, str]
) -> Review:
    """Return the review.

    Raises:
        ConflictError: Several makers have a model of that name.
        InvalidError: Something typed is wrong, or missing.
        NotFoundError: There is no such thing.
    """
    asked = check(Asked, dict(typed))
    shared = gather.frame(
        session,
        place.settings,
        now,
        since=asked.since,
        until=asked.until,
        confidence=asked.confidence,
    )
    if kind in _NAMED:
        return _named(kind, session, place, shared, asked)
    if kind == Kind.FIRST:
        return reviews.what_first(session, place.settings, shared, asked.rank)
    if kind == Kind.DRIVES:
        return reviews.of_drives(session, place.settings, shared)
    return reviews.of_fixes(session, place.settings, shared)


def _named(kind: Kind, session: Session, place: Workspace, shared: Frame, asked: Asked) -> Review:
    name = _needed("name", asked.name)
    plans = Plans(asked.interest, asked.years, asked.lead, asked.service)
    if kind == Kind.MODEL:
        return reviews.of_model(session, place.settings, shared, name, plans)
    if kind == Kind.ITEM:
        return reviews.of_item(session, place.settings, shared, name, plans)
    if kind == Kind.BUY:
        return reviews.before_buying(session, place.settings, shared, name, plans)
    if kind == Kind.REPLACE:
        model = _needed("model", asked.model)
        return reviews.mend_or_replace(session, place.settings, shared, name, model, asked)
    day = _needed_day(asked.day)
    what = asked.what or "that day"
    return reviews.hindsight_of(session, place.settings, shared, name, day, what)


def _needed(field: str, value: str | None) -> str:
    if not value:
        raise InvalidError([Problem(field, "it's missing. Fill it in.")])
    return value


def _needed_day(value: date | None) -> date:
    if value is None:
        raise InvalidError([Problem("day", "it's missing. Give the first day of 'after'.")])
    return value


def _part(found: Review, key: str) -> Part:
    part = found.part(key)
    if part is None:
        raise NotFoundError("part", key, "See the review itself.")
    return part


def _choices(kind: Kind, session: Session) -> tuple[Choice, ...]:
    """Return what may stand for the name."""
    if kind == Kind.BUY:
        return tuple(Choice(one, one.replace("-", " ")) for one in reviews.sorts_of(session))
    if kind in {Kind.MODEL, Kind.REPLACE}:
        return tuple(Choice(one, one) for one in reviews.models_of(session))
    return ()
