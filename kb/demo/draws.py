"""What the files do not say, drawn from a seed: the same seed always tells the same story.

The order of the draws is part of the story. Every value drawn is listed in `data/drawn.csv`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from kb.demo.gear_rows import DriveSpeed, Item, ItemRow, Model, Person, SpeedRow
from kb.demo.use_rows import (
    Attempt,
    AttemptRow,
    Fault,
    FaultRow,
    Search,
    SearchRow,
    Service,
    ServiceRow,
    Show,
    ShowRow,
)
from kb.records.kinds import Effect

SERVICE_TIME = time(11)
AFTER_MINUTES = 45
PHASES = {"before": 70, "live": 20, "after": 10}
REPORTERS = {"T.R.": 40, "A.K.": 20, "J.P.": 25, "S.L.": 15}


def items(rows: Iterable[ItemRow], models: Mapping[str, Model], random: Random) -> list[Item]:
    """Return the items with serial numbers: maker, year of purchase, five digits."""
    listed = list(rows)
    digits = random.sample(range(100_000), len(listed))
    return [
        Item(**_cells(row), serial=_serial(models[row.model].maker, row.in_service, number))
        for row, number in zip(listed, digits, strict=True)
    ]


def shows(rows: Iterable[ShowRow], zone: ZoneInfo) -> list[Show]:
    """Return the shows with their times in UTC; nothing is drawn."""
    return [
        Show(
            **_cells(row),
            set_up_from=_utc(row.on, row.set_up, zone),
            air_at=_utc(row.on, row.on_air, zone),
            ends_at=_utc(row.on, row.ends, zone),
        )
        for row in rows
    ]


def faults(
    rows: Iterable[FaultRow], shows_by_day: Mapping[date, Show], zone: ZoneInfo, random: Random
) -> list[Fault]:
    """Return the faults with the times they were noticed and restored.

    Seven in ten fall into the set-up, two into the show, one after it, unless it touched the
    show; where the report itself says when, that is kept. Restored is the minutes lost later, or
    at the service that ended it.
    """
    found: list[Fault] = []
    for row in rows:
        noticed = _noticed(row, shows_by_day[row.on], zone, random)
        if row.restored_on is None:
            restored = noticed + timedelta(minutes=row.minutes)
        else:
            restored = _utc(row.restored_on, SERVICE_TIME, zone)
        found.append(Fault(**_cells(row), noticed_at=noticed, restored_at=restored))
    return found


def attempts(
    rows: Sequence[AttemptRow], by_number: Mapping[int, Fault], zone: ZoneInfo
) -> list[Attempt]:
    """Return the attempts with their times, spread evenly up to the restoration."""
    tries = dict.fromkeys(by_number, 0)
    for row in rows:
        tries[row.fault] = max(tries[row.fault], row.position)
    found: list[Attempt] = []
    for row in rows:
        fault = by_number[row.fault]
        if row.on is None:
            step = (fault.restored_at - fault.noticed_at) / tries[row.fault]
            at = fault.noticed_at + row.position * step
        else:
            at = _utc(row.on, SERVICE_TIME, zone)
        found.append(Attempt(**_cells(row), at=at))
    return found


def services(rows: Iterable[ServiceRow], zone: ZoneInfo) -> list[Service]:
    """Return the services, each in the late morning; nothing is drawn."""
    return [Service(**_cells(row), at=_utc(row.on, SERVICE_TIME, zone)) for row in rows]


def speeds(rows: Sequence[SpeedRow], random: Random) -> list[DriveSpeed]:
    """Return the drive tests; a drive differs from its group by the same at every test."""
    spread = {row.drive: row.spread or 0 for row in rows}
    offset = {drive: random.randint(-most, most) for drive, most in spread.items()}
    return [
        DriveSpeed(row.drive, _test_day(row), (row.mb_per_s + offset[row.drive]) * 1_000_000)
        for row in rows
    ]


def searches(
    rows: Iterable[SearchRow], evenings: Sequence[Show], crew: Iterable[Person], random: Random
) -> list[Search]:
    """Return the searches that found nothing, each during some evening's set-up."""
    since = {person.initials: person.since or date.min for person in crew}
    found: list[Search] = []
    for row in rows:
        show = random.choice(evenings)
        at = _within(show.set_up_from, show.air_at, random)
        here = {who: share for who, share in REPORTERS.items() if since[who] <= show.on}
        (by,) = random.choices(list(here), list(here.values()))
        found.append(Search(**_cells(row), at=at, by=by))
    return sorted(found, key=lambda search: search.at)


def _noticed(row: FaultRow, show: Show, zone: ZoneInfo, random: Random) -> datetime:
    """Return when a fault was noticed, to the minute."""
    when = row.when
    if when is None:
        phases = [phase for phase in PHASES if phase != "after" or row.effect is Effect.NONE]
        (when,) = random.choices(phases, [PHASES[phase] for phase in phases])
    if when == "before":
        return _within(show.set_up_from, show.air_at, random)
    if when == "live":
        return _within(show.air_at, show.ends_at, random)
    if when == "after":
        return _within(show.ends_at, show.ends_at + timedelta(minutes=AFTER_MINUTES), random)
    return _utc(row.on, time.fromisoformat(when), zone)


def _within(start: datetime, end: datetime, random: Random) -> datetime:
    """Return a whole minute in [start, end)."""
    return start + timedelta(minutes=random.randrange(int((end - start).total_seconds() // 60)))


def _test_day(row: SpeedRow) -> date:
    """Return the day of a drive test: the first Monday of the month unless it is told."""
    first = date.fromisoformat(f"{row.month}-01")
    return first.replace(day=row.day or 1 + (7 - first.weekday()) % 7)


def _serial(maker: str, bought: date, number: int) -> str:
    """Return a serial number as the makers of this story write it."""
    return f"{maker[:2].upper()}{bought.year}{number:05d}"


def _utc(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Return a local time of day in UTC."""
    return datetime.combine(day, at, zone).astimezone(UTC)


def _cells(row: Any) -> dict[str, Any]:  # noqa: ANN401 - a row of any file
    """Return a row's columns by name."""
    return {column.name: getattr(row, column.name) for column in fields(row)}
