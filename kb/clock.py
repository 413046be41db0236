"""The time now: the only place that asks for it."""

import time
from datetime import UTC, datetime

_AWAKE_OR_NOT: int | None = getattr(time, "CLOCK_BOOTTIME", None)


def now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)


def ticks() -> float:
    """Return the seconds of a clock that only goes forward, whatever the time is set to."""
    # The first counts on while a laptop sleeps, but not every system has it.
    return time.clock_gettime(_AWAKE_OR_NOT) if _AWAKE_OR_NOT is not None else time.monotonic()
