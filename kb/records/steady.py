"""The time while the machine's clock may be wrong.

A small machine without a battery wakes with a time long past, until the network sets it. What
is recorded meanwhile must not come before what was recorded already: so the time is counted on
from the last record, until the clock has passed it.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func
from sqlmodel import Session, select

from kb.records.tables.journal import History

# Two machines of one base may differ by so much without any being wrong.
_SLACK = timedelta(minutes=2)


@dataclass(frozen=True)
class SteadyClock:
    """A clock that doesn't go back behind the last record.

    Attributes:
        last: When something was recorded last, before this clock began; None for never.
        began: The ticks at which it began.
    """

    last: datetime | None
    began: float

    def now(self, machine: datetime, ticks: float) -> datetime:
        """Return the machine's time, or one counted on from the last record where that's later.

        Args:
            machine: What the machine's clock says.
            ticks: Seconds of a clock that only goes forward.
        """
        if self.last is None or not self.is_behind(machine):
            return machine
        return self.last + timedelta(seconds=max(0.0, ticks - self.began))

    def is_behind(self, machine: datetime) -> bool:
        """Return whether the machine's clock is wrong for sure."""
        return self.last is not None and machine < self.last - _SLACK


def last_recorded(session: Session) -> datetime | None:
    """Return when something was recorded last; None for never."""
    newest = select(func.max(History.id)).scalar_subquery()
    return session.scalars(select(History.at).where(History.id == newest)).first()
