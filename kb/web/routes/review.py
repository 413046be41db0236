"""What keeps failing, and how good the data behind it are."""

from datetime import datetime
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from pydantic import Field
from sqlmodel import Session

from kb.checking import Draft, OptionalDay, check
from kb.errors import InvalidError, Problem
from kb.records.workspace import Workspace
from kb.review import charts, health, report
from kb.review.methods import rates
from kb.review.paper import Chart, Interval
from kb.review.report import ModelReview
from kb.web import pages
from kb.web.depends import Now, Place, Reading
from kb.web.shown_review import HealthPage, ReviewPage

router = APIRouter(include_in_schema=False)


class Window(Draft):
    """The days looked at, the first and the one after the last, and how wide the limits are."""

    since: OptionalDay = None
    until: OptionalDay = None
    confidence: Annotated[float, Field(gt=0, lt=1)] = rates.CONFIDENCE


@router.get("/review")
def review(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """Show how often each model fails."""
    typed = _typed(request)
    found: ModelReview | None = None
    problems: tuple[Problem, ...] = ()
    try:
        found = _review(session, place, now, typed)
    except InvalidError as error:
        problems = error.problems
    page = ReviewPage(
        review=found,
        query=urlencode(typed),
        since=typed.get("since", ""),
        until=typed.get("until", ""),
        confidence=typed.get("confidence", str(rates.CONFIDENCE)),
        problems=problems,
        gaps=len(health.health(session, place.settings)),
    )
    return pages.show(request, "review.html", page, 422 if problems else 200)


@router.get("/review/models.svg")
def chart(
    request: Request, session: Reading, place: Place, now: Now, theme: str = "dark"
) -> Response:
    """Draw the rates with their limits."""
    found = _review(session, place, now, _typed(request))
    bars = [
        Interval(row.model, row.rate, row.low, row.high) for row in found.models if row.failures
    ]
    axis = f"failures per unit and year, {100 * found.confidence:.10g} % limits"
    colours = charts.LIGHT if theme == "light" else charts.DARK
    headers = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}
    picture = charts.drawn(Chart(axis, intervals=tuple(bars)), colours)
    return Response(picture, headers=headers, media_type="image/svg+xml")


@router.get("/health")
def data_health(request: Request, session: Reading, place: Place) -> Response:
    """Show what is missing, or contradicts itself."""
    return pages.show(request, "health.html", HealthPage(health.health(session, place.settings)))


def _typed(request: Request) -> dict[str, str]:
    """Return what was filled in of the window."""
    known = Window.model_fields
    return {name: text for name, text in request.query_params.items() if name in known and text}


def _review(
    session: Session, place: Workspace, now: datetime, typed: dict[str, str]
) -> ModelReview:
    asked = check(Window, dict(typed))
    return report.review_models(
        session,
        place.settings,
        now,
        since=asked.since,
        until=asked.until,
        confidence=asked.confidence,
    )
