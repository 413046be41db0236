"""The page behind a label."""

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from kb.faults import cures, views
from kb.gear import lookup, paths
from kb.gear import pages as gear_pages
from kb.records.kinds import FaultState
from kb.web import pages
from kb.web.depends import Now, Place, Reading
from kb.web.shown import ItemView

router = APIRouter()
CABLE = "cable"
_PAST = 8
_AWAY = 3


@router.get("/{code}", include_in_schema=False)
@router.get("/{code}/", include_in_schema=False)
def item(request: Request, code: str, session: Reading, place: Place, now: Now) -> Response:
    """Show what a label stands for, in whatever form its address came."""
    there = lookup.place_of_code(session, code)
    if there is not None:
        return RedirectResponse(f"/places/{there}", pages.SEE_OTHER)
    found = gear_pages.item_page(session, code)
    days = place.settings.hold_days
    faults = views.fault_lines(session, now, days, item=found.line.code, limit=_PAST + 20)
    view = ItemView(
        item=found,
        faults=tuple(one for one in faults if one.state != FaultState.CLOSED),
        past=tuple(one for one in faults if one.state == FaultState.CLOSED)[:_PAST],
        cures=cures.cures_of(session, found.line.code),
        up=tuple(one for one in paths.path_up(session, found.line.code) if one.depth <= _AWAY),
        down=tuple(one for one in paths.path_down(session, found.line.code) if one.depth <= _AWAY),
        is_cable=found.line.equipment_class == CABLE,
    )
    return pages.show(request, "item.html", view)
