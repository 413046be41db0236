"""The time now: the only place that asks for it."""

import time
from datetime import UTC, datetime


def now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)


def ticks() -> float:
    """Return the seconds of a clock that only goes forward, whatever the time is set to."""
    return time.monotonic()
