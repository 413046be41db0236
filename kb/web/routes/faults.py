"""Follow a fault: its fixes in order, how each ended, and what it was in the end."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Annotated

from fastapi import APIRouter, File, Request, Response, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import PlainTextResponse, RedirectResponse
from sqlmodel import Session

from kb.entries import library
from kb.errors import KitloreError, NotFoundError, Problem
from kb.faults import attempts, closing, photos, views
from kb.faults.views import FaultPage
from kb.gear import shows
from kb.records import session as units
from kb.records.kinds import CauseKind, FaultState
from kb.records.workspace import Workspace
from kb.web import depends, failures, fixing, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.routes import search
from kb.web.routes.search import Asked
from kb.web.shown import FaultView, StepPage

router = APIRouter(include_in_schema=False)
_FITTING = 4
Photo = Annotated[UploadFile, File()]


@router.get("/faults/{number}")
def fault(
    request: Request, number: int, session: Reading, place: Place, now: Now, entry: str = ""
) -> Response:
    """Show a fault; `entry` follows another entry than the one that is kept."""
    return pages.show(request, "fault.html", _view(session, place, now, number, entry=entry))


@router.get("/faults/{number}/steps/{fix}/{step}")
def one_step(
    request: Request, number: int, fix: str, step: int, session: Reading, place: Place, now: Now
) -> Response:
    """Show one step of a fix alone, in large letters."""
    view = _view(session, place, now, number, entry=request.query_params.get("entry", ""))
    found = next((one for one in view.fixes if one.key == fix), None)
    if found is None or view.entry is None or not 1 <= step <= len(found.section.steps):
        raise NotFoundError("step", f"{fix}, {step}", "Go back to the fault.")
    page = StepPage(number, view.entry.line.slug, found, step, len(found.section.steps))
    return pages.show(request, "step.html", page)


@router.get("/faults/{number}/version")
def version(number: int, session: Reading, place: Place, now: Now) -> Response:
    """Return which version a fault has, and how many attempts: what an open page asks."""
    found = views.fault_page(session, number, now, place.settings.hold_days)
    return PlainTextResponse(_stands(found))


@router.post("/faults/{number}/try")
def try_(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Keep that a fix was tried, and how it ended."""
    values = {name: form[name] for name in ("entry", "fix", "what", "outcome") if form.get(name)}
    act = partial(attempts.record_attempt, number=number, values=values, at=now)
    return _done(request, place, now, number, act)


@router.post("/faults/{number}/photo")
async def photo(request: Request, number: int, place: Place, now: Now, photo: Photo) -> Response:
    """Add a picture."""
    content = await photo.read(photos.MOST_BYTES + 1)
    return await run_in_threadpool(add_photo, request, place, now, number, content)


def add_photo(
    request: Request, place: Workspace, now: datetime, number: int, content: bytes
) -> Response:
    """Keep a picture and show the fault; without one only show it."""
    act = partial(photos.keep_photo, folder=place.uploads, number=number, content=content, at=now)
    if not content:
        return RedirectResponse(f"/faults/{number}", pages.SEE_OTHER)
    return _done(request, place, now, number, act)


@router.get("/photos/{digest}")
def picture(session: Reading, place: Place, digest: str) -> Response:
    """Return a picture."""
    content = photos.content_of(session, place.uploads, digest)
    return Response(
        content, media_type="image/jpeg", headers={"Cache-Control": "private, max-age=86400"}
    )


@router.post("/faults/{number}/close")
def close(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Close it with its cause."""
    names = ("kind", "item", "note", "minutes_lost")
    values = {name: form[name] for name in names if form.get(name)}
    act = partial(closing.close_fault, number=number, values=values, at=now)
    return _done(request, place, now, number, act)


@router.post("/faults/{number}/reopen")
def reopen(request: Request, number: int, place: Place, now: Now) -> Response:
    """Open it again."""
    return _done(request, place, now, number, partial(closing.reopen_fault, number=number, at=now))


def _done(
    request: Request,
    place: Workspace,
    now: datetime,
    number: int,
    act: Callable[[Session], object],
) -> Response:
    """Do it and show the fault again, with what is wrong where it can't be done."""
    try:
        with depends.writing(request, now) as unit:
            act(unit)
    except KitloreError as error:
        return again(request, place, now, number, error)
    return RedirectResponse(f"/faults/{number}", pages.SEE_OTHER)


def again(
    request: Request, place: Workspace, now: datetime, number: int, error: KitloreError
) -> Response:
    """Show the fault as it stands, with what could not be done and why."""
    with units.read(request.app.state.engine) as unit:
        view = _view(unit, place, now, number, problems=failures.problems_of(error))
    return pages.show(request, "fault.html", view, failures.status_of(error))


def _view(
    session: Session,
    place: Workspace,
    now: datetime,
    number: int,
    *,
    entry: str = "",
    problems: tuple[Problem, ...] = (),
) -> FaultView:
    found = views.fault_page(session, number, now, place.settings.hold_days)
    slug = entry or found.line.entry
    followed = library.entry_page(session, slug) if slug else None
    is_open = found.line.state is FaultState.OPEN
    asked = Asked(found.line.text, item=found.line.code)
    hits = search.ask(session, place, now, asked).hits if is_open and not followed else ()
    return FaultView(
        fault=found,
        entry=followed,
        fixes=fixing.steps(
            session, followed, now, place.settings.hold_days, _ended(found, followed.line.slug)
        )
        if followed
        else (),
        fitting=tuple(hit for hit in hits if hit.kind == "entry")[:_FITTING],
        show=shows.next_show(session, now),
        minutes=shows.minutes_to_air(session, now),
        kinds=tuple(CauseKind),
        photos=photos.photos_of(session, number),
        stands=_stands(found),
        problems=problems,
    )


def _stands(found: FaultPage) -> str:
    """Return a mark that changes whenever the fault or one of its attempts does."""
    return "-".join(map(str, [found.version, *(one.version for one in found.attempts)]))


def _ended(found: FaultPage, slug: str) -> dict[str, str]:
    """Return how each fix of an entry ended on a fault, by key."""
    return {one.fix: one.outcome for one in found.attempts if one.entry == slug and not one.struck}
