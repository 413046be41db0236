"""How near the air time is, where that decides something."""

from contextlib import suppress
from datetime import datetime

from sqlmodel import Session

from kb.errors import NotFoundError
from kb.gear import lookup, shows
from kb.gear.shows import Places
from kb.web.shown import Air

# Further off than half a day the minutes decide nothing.
_NEAR_MINUTES = 12 * 60


def air(session: Session, now: datetime, room: str = "") -> Air | None:
    """Return what is on air, or what will be within half a day: in a room first, else anywhere."""
    with suppress(NotFoundError):  # a phone may keep a room that is out of use
        places = shows.around(session, lookup.place(session, room).key) if room else None
        near = _near(session, now, places) if places else None
        if near is not None:
            return near
    return _near(session, now, None)


def _near(session: Session, now: datetime, places: Places) -> Air | None:
    show = shows.on_air(session, now, places)
    if show is not None:
        return Air(show, None)
    show = shows.next_show(session, now, places)
    minutes = shows.minutes_to_air(session, now, places)
    if show is None or minutes is None or minutes > _NEAR_MINUTES:
        return None
    return Air(show, minutes)
