"""The page behind a label."""

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from kb.errors import InvalidError
from kb.faults import cures, views
from kb.faults.views import FaultLine
from kb.gear import ahead, chains, lookup
from kb.gear import pages as gear_pages
from kb.records.kinds import FaultState
from kb.web import failures, pages
from kb.web.depends import Now, Place, Reading
from kb.web.routes import unused
from kb.web.shown import ItemView

router = APIRouter()
CABLE = "cable"
_OPEN, _WATCHED, _PAST = 8, 4, 8


@router.get("/{code}", include_in_schema=False)
@router.get("/{code}/", include_in_schema=False)
def item(request: Request, code: str, session: Reading, place: Place, now: Now) -> Response:
    """Show what a label stands for, in whatever form its address came."""
    there = lookup.place_of_code(session, code)
    if there is not None:
        return RedirectResponse(f"/places/{there}", pages.SEE_OTHER)
    if ahead.is_free(session, code):
        return unused.show(request, session, code)
    try:
        found = gear_pages.item_page(session, code)
    except InvalidError as error:
        return failures.answer(request, 422, error.problems, "That label can't be read so")

    def of(state: FaultState, limit: int) -> tuple[FaultLine, ...]:
        days = place.settings.hold_days
        return views.fault_lines(
            session, now, days, state=state, item=found.line.code, limit=limit
        )

    wrong = of(FaultState.OPEN, _OPEN + 1)
    view = ItemView(
        item=found,
        faults=wrong[:_OPEN] + of(FaultState.WATCHED, _WATCHED),
        open_more=len(wrong) > _OPEN,
        past=of(FaultState.CLOSED, _PAST),
        cures=cures.cures_of(session, found.line.code),
        up=chains.chains_up(session, found.line.code),
        down=chains.chains_down(session, found.line.code),
    )
    return pages.show(request, "item.html", view)
