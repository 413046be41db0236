"""Scan a label: a handheld scanner or fingers type, or a photo of it is read here."""

from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse

from kb.errors import KitloreError, Problem
from kb.gear import lookup, scanning
from kb.labels import reading
from kb.web import failures, pages
from kb.web.depends import Reading
from kb.web.routes import pictures
from kb.web.routes.pictures import Photo
from kb.web.shown import ScanPage

router = APIRouter(include_in_schema=False)


@router.get("/scan")
def scan(request: Request, session: Reading, code: str = "") -> Response:
    """Show the field to scan into; what was scanned leads to its page, other words to a search."""
    if not code.strip():
        return pages.show(request, "scan.html", ScanPage())
    found = scanning.code_in(code)
    if found is None:
        try:
            found = lookup.item(session, code).code
        except KitloreError:
            return RedirectResponse("/?" + urlencode({"q": code}), pages.SEE_OTHER)
    return RedirectResponse(f"/{quote(found)}", pages.SEE_OTHER)


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
    return pages.show(request, "scan.html", ScanPage(found, problems), 200 if found else 422)
