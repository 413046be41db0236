"""A fault left by a phone that nobody paired: kept, marked, shown to the crew at once."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from math import ceil

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb import clock
from kb.errors import KitloreError, NotFoundError, Problem
from kb.faults import log, photos
from kb.records.kinds import Strangers
from kb.records.workspace import Workspace
from kb.web import depends, failures, pages, strangers, visitors
from kb.web.depends import Form, Now, Place
from kb.web.routes import pictures
from kb.web.routes.pairing import TOO_OFTEN
from kb.web.routes.pictures import Photo
from kb.web.shown_access import KeptPage

router = APIRouter(include_in_schema=False)
_FIELDS = ("text", "item", "client_key")


@dataclass(frozen=True)
class Left:
    """What came: the form, a picture or nothing, where and when."""

    form: Mapping[str, str]
    photo: bytes
    place: Workspace
    now: datetime


@router.get("/unknown")
def form(request: Request) -> Response:
    """Show the form."""
    return strangers.form(request, {})


@router.post("/unknown")
async def leave(
    request: Request, form: Form, place: Place, now: Now, photo: Photo = None
) -> Response:
    """Keep what was left."""
    left = Left(form, await pictures.read(photo), place, now)
    return await run_in_threadpool(_left, request, left)


@router.get("/unknown/kept")
def kept(request: Request, number: int) -> Response:
    """Say that it's kept."""
    return pages.show(request, "left.html", KeptPage(number))


def _left(request: Request, left: Left) -> Response:
    visitor = visitors.of(request)
    if visitor.role is None and visitor.strangers is Strangers.NOTHING:
        return strangers.turned_away(request)
    wait = request.app.state.limits["report"].wait(
        request.client.host if request.client else "", clock.ticks()
    )
    if wait:
        return _too_often(request, left, wait)
    try:
        with depends.writing(request, left.now) as unit:
            number = log.log_fault(unit, _values(left.form), left.now)
    except NotFoundError:  # what else is here is nobody's business
        told = Problem("code", "no label bears it. Read it again, all six characters.")
        return strangers.form(request, left.form, (told,), 404)
    except KitloreError as error:
        status = failures.status_of(error)
        return strangers.form(request, left.form, failures.problems_of(error), status)
    return _with_photo(request, left, number)


def _values(form: Mapping[str, str]) -> dict[str, str]:
    return {name: form[name] for name in _FIELDS if form.get(name)}


def _too_often(request: Request, left: Left, wait: float) -> Response:
    told = f"many reports came from here. Wait {ceil(wait / 60)} min, or tell a lead."
    answer = strangers.form(request, left.form, (Problem("", told.capitalize()),), TOO_OFTEN)
    answer.headers["Retry-After"] = str(ceil(wait))
    return answer


def _with_photo(request: Request, left: Left, number: int) -> Response:
    """Keep the picture too; the words are kept whatever becomes of it."""

    def keep(unit: Session) -> None:
        photos.keep_photo(unit, left.place.uploads, number, left.photo, left.now)

    try:
        if left.photo:
            with depends.writing(request, left.now) as unit:
                keep(unit)
    except KitloreError as error:
        page = KeptPage(number, failures.problems_of(error))
        return pages.show(request, "left.html", page, failures.status_of(error))
    return RedirectResponse(f"/unknown/kept?number={number}", pages.SEE_OTHER)
