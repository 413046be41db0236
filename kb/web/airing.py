"""How near the air time is, where that decides something."""

from datetime import datetime

from sqlmodel import Session

from kb.gear import shows
from kb.web.shown import Air

# Further off than half a day the minutes decide nothing.
_NEAR_MINUTES = 12 * 60


def air(session: Session, now: datetime) -> Air | None:
    """Return what is on air, or what will be within half a day."""
    show = shows.on_air(session, now)
    if show is not None:
        return Air(show, None)
    show, minutes = shows.next_show(session, now), shows.minutes_to_air(session, now)
    if show is None or minutes is None or minutes > _NEAR_MINUTES:
        return None
    return Air(show, minutes)
