"""Where a fault stands: the rule, without a database."""

from datetime import datetime, timedelta

from kb.records.kinds import FaultState


def state_of(
    restored_at: datetime | None,
    closed_at: datetime | None,
    now: datetime,
    hold: timedelta,
    *,
    mistaken: bool = False,
) -> FaultState:
    """Return where a fault stands: open, watched inside the hold time, closed, or never there."""
    if mistaken:
        return FaultState.MISTAKEN
    if restored_at is None:
        return FaultState.OPEN
    if closed_at is not None or now >= restored_at + hold:
        return FaultState.CLOSED
    return FaultState.WATCHED
