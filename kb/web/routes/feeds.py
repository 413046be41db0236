"""Calendars: the address that a calendar reads, and how a lead makes and ends one."""

from contextlib import suppress
from datetime import datetime, timedelta
from math import ceil

from fastapi import APIRouter, BackgroundTasks, Request, Response
from fastapi.responses import RedirectResponse

from kb import clock
from kb.crew import feeds
from kb.errors import KitloreError, NotFoundError, Problem
from kb.exchange import calendar
from kb.gear import lookup, shows
from kb.records import changes
from kb.web import failures, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.routes import access
from kb.web.shown_access import FeedPage

router = APIRouter(include_in_schema=False)
# A calendar keeps what has been; what is older than a quarter it needn't be told again.
_BACK = timedelta(days=92)
_TOO_OFTEN = 429


@router.get("/feed/{key}.ics")
def read(
    request: Request, key: str, session: Reading, place: Place, now: Now, later: BackgroundTasks
) -> Response:
    """Give the shows to the calendar that knows the key, and nothing to anybody else."""
    found = feeds.opened(session, key)
    if found is None:
        return _slowed(request) or failures.answer(request, 404, (_unknown(),))
    around = shows.around(session, found.place_id) if found.place_id is not None else None
    listed = shows.shows_at(session, now - _BACK, around)
    later.add_task(_noted, request, found.number, now)
    content = calendar.written(listed, place.folder.name, changes.mark_of(session), now)
    headers = {"Cache-Control": "no-store", "Referrer-Policy": "no-referrer"}
    return Response(content, media_type="text/calendar; charset=utf-8", headers=headers)


@router.post("/access/feed")
def add(request: Request, form: Form, now: Now, place: Place) -> Response:
    """Make an address for a calendar, and show it once."""
    values = forms.values(form, ("person", "device", "place"))
    within = values.get("place", "")
    made = access.made(
        request,
        now,
        lambda unit: feeds.add_feed(
            unit, values, now, lookup.place(unit, within).key if within else None
        ),
    )
    if isinstance(made, Response):
        return made
    address = f"{access.base(request, place.settings.host)}/feed/{made.key}.ics"
    return pages.show(request, "feed.html", FeedPage(made.device, address))


@router.post("/access/feed/{number}/end")
def end(request: Request, number: int, form: Form, now: Now) -> Response:
    """End a calendar's address at once."""
    seen = forms.seen(form)
    made = access.made(request, now, lambda unit: feeds.end_feed(unit, number, seen))
    return made if isinstance(made, Response) else RedirectResponse("/access", pages.SEE_OTHER)


def _noted(request: Request, number: int, now: datetime) -> None:
    with suppress(KitloreError):  # who only reads needs no room on the disk
        feeds.note_read(request.app.state.engine, number, now)


def _unknown() -> Problem:
    return Problem("", NotFoundError("calendar", "of that address", "Ask a lead for one.").message)


def _slowed(request: Request) -> Response | None:
    """Refuse who guesses keys too often."""
    who = request.client.host if request.client else ""
    wait = request.app.state.limits["feed"].wait(who, clock.ticks())
    if not wait:
        return None
    told = Problem("", f"That was tried too often. Wait {ceil(wait)} s.")
    answer = failures.answer(request, _TOO_OFTEN, (told,))
    answer.headers["Retry-After"] = str(ceil(wait))
    return answer
