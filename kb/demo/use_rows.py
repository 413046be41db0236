"""What the files of the invented studio hold about its use: shows, faults, services."""

from dataclasses import dataclass
from datetime import date, datetime, time

from kb.records.kinds import CauseKind, Effect, Result, ServiceKind


@dataclass(frozen=True)
class ShowRow:
    """An evening of recording, in the house's own time."""

    on: date
    set_up: time
    on_air: time
    ends: time


@dataclass(frozen=True)
class Show(ShowRow):
    """An evening of recording, its times in UTC."""

    set_up_from: datetime
    air_at: datetime
    ends_at: datetime


@dataclass(frozen=True)
class FaultRow:
    """A fault as it was reported and closed.

    Attributes:
        number: In the order of the log.
        on: The day it was noticed, in the house's time.
        item: Under which the crew's table lists it.
        seen_on: The item it was seen on; None where only the place was known.
        seen_at: The place, where no item was known.
        topic: The slug of the entry it belongs to.
        minutes: Lost.
        effect: On the show.
        reporter: By initials.
        text: As reported.
        cause: As found; None where nothing was said.
        helped: What helped, or what came of it; None where nothing was said.
        cause_item: The item to blame.
        cause_kind: Said of the cause item.
        when: 'before', 'live' or 'after' where the text says so, or the time of day; None is
            drawn.
        restored_on: The day of the service or the retirement that ended it; None is 'after the
            minutes lost'.
    """

    number: int
    on: date
    item: str
    seen_on: str | None
    seen_at: str | None
    topic: str
    minutes: int
    effect: Effect
    reporter: str
    text: str
    cause: str | None
    helped: str | None
    cause_item: str
    cause_kind: CauseKind
    when: str | None
    restored_on: date | None


@dataclass(frozen=True)
class Fault(FaultRow):
    """A fault with its times, drawn where the row has none."""

    noticed_at: datetime
    restored_at: datetime


@dataclass(frozen=True)
class AttemptRow:
    """One fix tried on a fault.

    Attributes:
        fault: The fault's number.
        position: Which try it was.
        fix: The key of a fix of the fault's entry, or 'swap'; None where `what` tells it.
        what: What was done, in words.
        worked: Whether it helped.
        on: The day, where it was not that of the fault.
    """

    fault: int
    position: int
    fix: str | None
    what: str | None
    worked: bool
    on: date | None


@dataclass(frozen=True)
class Attempt(AttemptRow):
    """One fix tried, with its time."""

    at: datetime


@dataclass(frozen=True)
class ServiceRow:
    """A maintenance event; `fault` is the number of the fault it answered."""

    number: int
    on: date
    kind: ServiceKind
    work: str
    tester: str | None
    cost_minor: int | None
    next_due: date | None
    fault: int | None


@dataclass(frozen=True)
class Service(ServiceRow):
    """A maintenance event with its time."""

    at: datetime


@dataclass(frozen=True)
class ServiceItem:
    """One item of a service, and what was found on it."""

    service: int
    item: str
    result: Result | None
    note: str | None


@dataclass(frozen=True)
class Note:
    """A decision or an event that is no maintenance, and the models it is about."""

    on: date
    by: str | None
    about: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class SearchRow:
    """What somebody looked for and did not find."""

    query: str


@dataclass(frozen=True)
class Search(SearchRow):
    """What somebody looked for and did not find: who and when are drawn."""

    at: datetime
    by: str
