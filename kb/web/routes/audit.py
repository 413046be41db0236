"""The audit list: what was written, by whom and from which device."""

from fastapi import APIRouter, Request, Response

from kb.records import audit, naming
from kb.records.audit import AuditLine
from kb.web import forms, paging
from kb.web.depends import Place, Reading
from kb.web.forms import Cell, Field, ListPage
from kb.web.paging import Start

router = APIRouter(include_in_schema=False)
PAGE = 50
_LONGEST = 200


@router.get("/audit")
def listed(
    request: Request,
    session: Reading,
    place: Place,
    who: str = "",
    device: str = "",
    start: Start = 0,
) -> Response:
    """List what was written, the newest first."""
    found = audit.lines(session, PAGE + 1, start, who.strip(), device.strip())
    asked = {"who": who, "device": device}
    before, after = paging.beside("/audit", asked, start, PAGE, more=len(found) > PAGE)
    page = ListPage(
        title="What was written",
        columns=("When", "Who", "From", "Record", "What"),
        rows=tuple(_row(line, place) for line in found[:PAGE]),
        empty="Nothing was written so.",
        filters=(Field("who", "Who", who), Field("device", "From", device)),
        action="/audit",
        ways=(("Who gets in", "/access"), ("People", "/people")),
        before=before,
        after=after,
    )
    return forms.listed(request, page)


def _row(line: AuditLine, place: Place) -> tuple[Cell, ...]:
    zone = place.settings.timezone
    told = "; ".join(
        f"{name}: {old} → {new}" if old else f"{name}: {new}"
        for name, old, new in naming.words(line.changes, zone)
    )
    address = f"/faults/{line.record_id}" if line.kind == "fault" else ""
    return (
        Cell(f"{line.at.astimezone(zone):%Y-%m-%d %H:%M}", kind="time"),
        Cell(line.who),
        Cell(line.device),
        Cell(f"{line.kind} {line.record_id}", address),
        Cell(told if len(told) <= _LONGEST else f"{told[:_LONGEST]}…"),
    )
