"""Scan a label: a handheld scanner or fingers type, or a photo of it is read here."""

from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.errors import KitloreError, Problem
from kb.gear import lookup, meant, scanning
from kb.labels import reading
from kb.web import failures, pages
from kb.web.depends import Reading
from kb.web.routes import pictures
from kb.web.routes.pictures import Photo
from kb.web.shown_log import ScanPage

router = APIRouter(include_in_schema=False)


@router.get("/scan")
def scan(request: Request, session: Reading, code: str = "") -> Response:
    """Show the field to scan into; what was scanned leads to its page."""
    if not code.strip():
        return pages.show(request, "scan.html", ScanPage())
    found = scanning.code_in(code)
    if found is not None:
        return RedirectResponse(f"/{quote(found)}", pages.SEE_OTHER)
    thing = meant.thing(session, code)
    if thing is not None:
        return RedirectResponse(f"/{thing.code}", pages.SEE_OTHER)
    return _unknown(request, session, code)


def _unknown(request: Request, session: Session, typed: str) -> Response:
    """Lead to the place of that name; else say what is wrong with what was scanned or typed."""
    there = meant.place(session, typed)
    if there is not None:
        return RedirectResponse(f"/places/{there}", pages.SEE_OTHER)
    if not any(sign.isdigit() for sign in typed):  # no name and no code: what is seen or heard
        return RedirectResponse("/?" + urlencode({"q": typed}), pages.SEE_OTHER)
    try:
        lookup.item(session, typed)
    except KitloreError as error:
        page = ScanPage(words=typed.strip(), problems=failures.problems_of(error))
        return pages.show(request, "scan.html", page, failures.status_of(error))
    raise AssertionError(typed)


@router.post("/scan")
async def photographed(request: Request, photo: Photo = None) -> Response:
    """Read the label in a photo."""
    content = await pictures.read(photo)
    return await run_in_threadpool(_read, request, content)


def _read(request: Request, content: bytes) -> Response:
    try:
        found = reading.codes_in(content) if content else ()
    except KitloreError as error:
        page = ScanPage(problems=failures.problems_of(error))
        return pages.show(request, "scan.html", page, failures.status_of(error))
    if len(found) == 1:
        return RedirectResponse(f"/{found[0]}", pages.SEE_OTHER)
    told = "no label can be read in it. Go nearer, hold still, or type the six characters."
    problems = () if found else (Problem("photo", told),)
    return pages.show(
        request, "scan.html", ScanPage(found, problems=problems), 200 if found else 422
    )
