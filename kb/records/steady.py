"""The time while the machine's clock may be wrong.

A small machine without a battery wakes with a time long past, or with any time at all, until the
network sets it. What is recorded meanwhile must not come before what was recorded already, nor
years after it: so the time is counted on from the last record, until the clock can be believed.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

# Two machines of one base may differ by so much without any being wrong.
_SLACK = timedelta(minutes=2)
# A crew that records several times a week leaves no such gap; a paired phone lasts no longer.
LONGEST_PAUSE = timedelta(days=183)


@dataclass(frozen=True)
class SteadyClock:
    """A clock that doesn't go back behind the last record, nor leaps ahead of it.

    Attributes:
        last: When something was recorded last, before this clock began; None for never.
        began: The ticks at which it began.
        right_on: A day on which somebody says that the machine's clock is right; None for none.
    """

    last: datetime | None
    began: float
    right_on: date | None = None

    def now(self, machine: datetime, ticks: float) -> datetime:
        """Return the machine's time, or one counted on from the last record where it's wrong.

        Args:
            machine: What the machine's clock says.
            ticks: Seconds of a clock that only goes forward.
        """
        if self.last is None or not self._doubt(machine, ticks):
            return machine
        return self._counted(self.last, ticks)

    def told(self, machine: datetime, ticks: float, zone: ZoneInfo) -> str:
        """Return what to say of a clock that isn't believed; nothing of one that is."""
        doubt = self._doubt(machine, ticks)
        if not doubt:
            return ""
        said = machine.astimezone(zone)
        return (
            f"This machine's clock says {said:%Y-%m-%d %H:%M}, which is {doubt}. What is written "
            "now counts its time on from that record. Set the clock. If it's right: 'kitlore "
            f"settings clock_right={said:%Y-%m-%d}', then start 'serve' again."
        )

    def _doubt(self, machine: datetime, ticks: float) -> str:
        """Return why the machine's clock isn't believed; nothing where it is."""
        if self.last is None or _is_on(machine, self.right_on):
            return ""
        if machine < self.last - _SLACK:
            return "before the last record"
        if machine > self._counted(self.last, ticks) + LONGEST_PAUSE:
            return "over half a year after the last record"
        return ""

    def _counted(self, last: datetime, ticks: float) -> datetime:
        return last + timedelta(seconds=max(0.0, ticks - self.began))


def _is_on(machine: datetime, day: date | None) -> bool:
    """Return whether a time is of a day, in whatever zone somebody says so."""
    return day is not None and abs(machine.date() - day) <= timedelta(days=1)
