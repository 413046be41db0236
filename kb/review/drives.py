"""Drives: how fast each loses its write speed, and by when it falls below what is needed."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import isfinite

from sqlmodel import Session, col, select

from kb.gear.drives import DRIVE
from kb.records.kinds import ItemState
from kb.records.settings import Settings
from kb.records.tables.gear import Item, Model
from kb.records.tables.use import DriveTest, Spare
from kb.review.methods import rates, wear

FOR_A_LINE = wear.FOR_A_LINE
_FAR = timedelta(days=3653)


@dataclass(frozen=True)
class Speed:
    """One test: the day and bytes per second."""

    day: date
    rate: int


@dataclass(frozen=True)
class DriveWear:
    """One drive's write speed.

    Attributes:
        name: What the crew calls it.
        code: Its code.
        model: Maker and name.
        in_use: It's neither set aside nor retired.
        tests: Its tests, oldest first.
        loss: The share lost a year; None with too few tests.
        loss_low: Lower limit.
        loss_high: Upper limit.
        crosses: The day the line comes to what is needed; None where none can be told.
        earliest: Lower limit of that day; None where nothing bounds it.
        latest: Upper limit; None where nothing bounds it.
        words: What it comes to.
    """

    name: str
    code: str
    model: str
    in_use: bool
    tests: tuple[Speed, ...]
    loss: float | None
    loss_low: float | None
    loss_high: float | None
    crosses: date | None
    earliest: date | None
    latest: date | None
    words: str


@dataclass(frozen=True)
class DrivesWear:
    """All drives that were ever tested.

    Attributes:
        needed: Bytes per second that a drive must sustain; None where no spare rule says.
        confidence: Of each two-sided interval.
        drives: Those soonest below what is needed first.
    """

    needed: int | None
    confidence: float
    drives: tuple[DriveWear, ...]


def wear_of(
    session: Session,
    settings: Settings,
    now: datetime,
    *,
    needed: int | None = None,
    confidence: float = rates.CONFIDENCE,
) -> DrivesWear:
    """Return every tested drive's write speed with the day it falls below what is needed.

    Args:
        session: The unit of work.
        settings: The workspace's zone.
        now: The time now; later tests are left out.
        needed: Bytes per second; the highest that a spare rule asks for by default.
        confidence: Of each two-sided interval.
    """
    zone = settings.timezone
    wanted = needed or _needed(session)
    rows = session.execute(
        select(Item, Model, DriveTest)
        .join(Model, col(Item.model_id) == Model.id)
        .join(DriveTest, col(DriveTest.item_id) == Item.id)
        .where(Model.equipment_class == DRIVE, col(DriveTest.at) <= now)
        .order_by(col(Item.name), col(DriveTest.at), col(DriveTest.id))
    )
    found: dict[int, tuple[Item, Model, list[Speed]]] = {}
    for item, model, test in rows:
        speeds = found.setdefault(item.key, (item, model, []))[2]
        speeds.append(Speed(test.at.astimezone(zone).date(), test.write_rate))
    today = now.astimezone(zone).date()
    told = [
        _told(item, model, tests, wanted, today, confidence)
        for item, model, tests in found.values()
    ]
    return DrivesWear(wanted, confidence, tuple(sorted(told, key=_soonest)))


def _soonest(one: DriveWear) -> tuple[bool, date, str]:
    return not one.in_use, one.crosses or date.max, one.name


def _needed(session: Session) -> int | None:
    rows = session.scalars(
        select(Spare.needed_rate).where(
            col(Spare.needed_rate).is_not(None), col(Spare.removed_at).is_(None)
        )
    )
    return max((one for one in rows if one), default=None)


def _told(
    item: Item,
    model: Model,
    tests: list[Speed],
    needed: int | None,
    today: date,
    confidence: float,
) -> DriveWear:
    first = tests[0].day
    loss: tuple[float | None, float | None, float | None] = (None, None, None)
    days: tuple[date | None, date | None, date | None] = (None, None, None)
    if needed is None:
        words = f"{_tests(tests)}. No spare rule says which speed is needed."
    elif len({one.day for one in tests}) < FOR_A_LINE:
        words = f"{_tests(tests)}: too few to tell a trend."
    else:
        years = [(one.day - first).days / rates.DAYS_A_YEAR for one in tests]
        found = wear.wear(years, [one.rate for one in tests], needed, confidence=confidence)
        loss = (found.loss, found.loss_low, found.loss_high)
        if found.slows:
            ends = (found.crossing.time, found.crossing.low, found.crossing.high)
            days = (_day(first, ends[0]), _day(first, ends[1]), _day(first, ends[2]))
        words = _words(tests, loss, days, today, confidence)
    return DriveWear(
        item.name,
        item.code,
        f"{model.maker} {model.name}",
        item.state in (ItemState.FIT, ItemState.DOUBTFUL),
        tuple(tests),
        *loss,
        *days,
        words,
    )


def _day(first: date, years: float | None) -> date | None:
    """Return the day so many years on; None beyond what a line may be drawn out to."""
    if years is None or not isfinite(years):
        return None
    off = years * rates.DAYS_A_YEAR
    return None if abs(off) > _FAR.days else first + timedelta(days=round(off))


def _tests(tests: list[Speed]) -> str:
    return f"{len(tests)} test{'' if len(tests) == 1 else 's'}, last {_speed(tests[-1].rate)}"


def _speed(rate: int) -> str:
    return f"{rate / 1e6:.0f} MB/s"


def _words(
    tests: list[Speed],
    loss: tuple[float | None, float | None, float | None],
    days: tuple[date | None, date | None, date | None],
    today: date,
    confidence: float,
) -> str:
    share = f"two-sided {rates.percent(confidence)}"
    lost = " to ".join(f"{100 * (one or 0):.0f}" for one in loss[1:])
    head = f"{_tests(tests)}; loses {100 * (loss[0] or 0):.0f} % a year ({share} {lost} %)"
    if days[0] is None:
        return f"{head}: below in more than ten years, if ever."
    ends = f"{days[1] or 'no earliest'} to {days[2] or 'no latest'}"
    verb = "falls" if days[0] >= today else "fell"
    return (
        f"{head}; on that line {verb} below on {days[0]} ({share} {ends}). In a hot recorder "
        "it is slower than on the bench."
    )
