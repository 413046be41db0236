"""One act of the story: when, by whom, and what is done."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from sqlmodel import Session

# Times of day for what the story dates by the day only: gear comes in the morning, and is
# moved, joined and taken out of use after the evening's show.
MORNING = time(9, 0)
NOON = time(12, 0)
AFTER_SHOW = time(22, 0)
LATE = time(22, 30)


@dataclass(frozen=True)
class Act:
    """One act; acts of one time are done in the order of `turn`.

    Attributes:
        at: When, in UTC.
        turn: Which first of those at the same time.
        by: Whose act it is.
        does: What is done in the unit of work.
    """

    at: datetime
    turn: int
    by: str
    does: Callable[[Session], object]


def on(day: date, hour: time, zone: ZoneInfo) -> datetime:
    """Return a time of day on a day in the house's zone, in UTC."""
    return datetime.combine(day, hour, zone).astimezone(UTC)
