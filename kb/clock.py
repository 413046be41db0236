"""The time now: the only place that asks for it."""

from datetime import UTC, datetime


def now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)
