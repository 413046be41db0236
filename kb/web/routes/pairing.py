"""A phone that scanned an offer is let in: shown first, since scanners look ahead at addresses."""

from math import ceil
from urllib.parse import unquote

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from kb import clock
from kb.crew import pairings
from kb.errors import ConflictError, Problem
from kb.web import depends, failures, pages
from kb.web.depends import Form, Now, Reading
from kb.web.recognising import PHONE_COOKIE, SCANNED_COOKIE
from kb.web.shown_access import PairPage

router = APIRouter(include_in_schema=False)
TOO_OFTEN = 429


@router.get("/pair")
def look(request: Request, session: Reading, now: Now, ticket: str = "") -> Response:
    """Show in whose name the phone will be let in; nothing is spent by looking."""
    slowed = _slowed(request)
    if slowed is not None:
        return slowed
    try:
        page = PairPage(pairings.offered_to(session, ticket, now), ticket)
    except ConflictError as error:
        return _refused(request, error)
    return pages.show(request, "pair.html", page)


@router.post("/pair")
def pair(request: Request, form: Form, now: Now) -> Response:
    """Let the phone in, and lead back to what it scanned before."""
    slowed = _slowed(request)
    if slowed is not None:
        return slowed
    try:
        with depends.writing(request, now) as unit:
            made = pairings.accept(unit, form.get("ticket", ""), now)
    except ConflictError as error:
        return _refused(request, error)
    back = unquote(request.cookies.get(SCANNED_COOKIE, ""))
    answer = RedirectResponse(pages.own_address(back), pages.SEE_OTHER)
    answer.delete_cookie(SCANNED_COOKIE, httponly=True, samesite="lax")
    answer.set_cookie(
        PHONE_COOKIE,
        made.secret,
        max_age=int(pairings.LASTS.total_seconds()),
        httponly=True,
        samesite="lax",
        secure=request.url.scheme == "https",
    )
    return answer


def _slowed(request: Request) -> Response | None:
    """Refuse who tries too often: an offer can't be guessed, nor the server kept busy."""
    who = request.client.host if request.client else ""
    wait = request.app.state.limits["pair"].wait(who, clock.ticks())
    if not wait:
        return None
    told = f"That was tried too often. Wait {ceil(wait)} s, then scan it again."
    answer = failures.answer(request, TOO_OFTEN, (Problem("", told),))
    answer.headers["Retry-After"] = str(ceil(wait))
    return answer


def _refused(request: Request, error: ConflictError) -> Response:
    page = PairPage("", "", failures.problems_of(error))
    return pages.show(request, "pair.html", page, failures.status_of(error))
