"""Follow a fault: its fixes in order, all on one page or one step at a time."""

from fastapi import APIRouter, Request, Response
from fastapi.responses import PlainTextResponse

from kb.errors import NotFoundError
from kb.web import following, pages
from kb.web.depends import Now, Place, Reading
from kb.web.shown import StepPage

router = APIRouter(include_in_schema=False)


@router.get("/faults/{number}")
def fault(
    request: Request, number: int, session: Reading, place: Place, now: Now, entry: str = ""
) -> Response:
    """Show a fault; `entry` follows another entry than the one that is kept."""
    view = following.view(session, place, now, number, entry=entry)
    return pages.show(request, "fault.html", view)


@router.get("/faults/{number}/version")
def version(number: int, session: Reading, now: Now) -> Response:
    """Return a mark of how a fault stands: what an open page asks for."""
    return PlainTextResponse(following.stands(session, now, number))


@router.get("/faults/{number}/steps/{fix}/{step}")
def one_step(
    request: Request,
    number: int,
    fix: str,
    step: int,
    session: Reading,
    place: Place,
    now: Now,
    entry: str = "",
) -> Response:
    """Show one step of a fix alone, in large letters."""
    view = following.view(session, place, now, number, entry=entry)
    found = next((one for one in view.fixes if one.key == fix), None)
    if found is None or view.entry is None or not 1 <= step <= len(found.section.steps):
        raise NotFoundError("step", f"{fix}, {step}", "Go back to the fault.")
    page = StepPage(
        fault=number,
        air=view.air,
        entry=view.entry.line.slug,
        first=view.entry.entry.first_acts,
        fix=found,
        step=step,
        last=len(found.section.steps),
    )
    return pages.show(request, "step.html", page)
