"""Back to work: how long it takes, whether the same comes back, whether it's there at air time."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlmodel import Session

from kb.gear import shows
from kb.records.settings import Settings
from kb.review import ages
from kb.review.fleet import Fleet, Report, Thing
from kb.review.methods import annualised, availability, exposure, rates, repeats, restoration
from kb.review.methods.annualised import Band
from kb.review.methods.availability import AtShows
from kb.review.methods.choosing import ENOUGH
from kb.review.methods.repeats import RepeatRate
from kb.review.methods.restoration import Restoration

DRIVE = "drive"
_BANDS = (0, 365, 730, 1095)
_HOUR, _DAY = timedelta(hours=1), timedelta(days=1)


@dataclass(frozen=True)
class Recovery:
    """How one model comes back.

    Attributes:
        model: Maker and name.
        restoration: Hours from noticed to restored, waiting included.
        repeat: How often the same symptom came back on the same unit.
        at_shows: Units without an open fault at air time, a unit and a show at a time; None
            with too few failures to say so.
        bands: Annualised failure rate by age, of drives alone.
        words: Each as a sentence.
    """

    model: str
    restoration: Restoration
    repeat: RepeatRate
    at_shows: AtShows | None
    bands: tuple[Band, ...]
    words: tuple[str, ...]


def recovery(
    session: Session,
    settings: Settings,
    now: datetime,
    fleet: Fleet,
    *,
    confidence: float = rates.CONFIDENCE,
) -> tuple[Recovery, ...]:
    """Return how each model comes back, those with most failures first.

    Args:
        session: The unit of work.
        settings: Within how many days a repeat is one; the zone.
        now: The time now.
        fleet: The units and the faults that touch them.
        confidence: Of each two-sided interval.
    """
    zone, days = settings.timezone, fleet.window
    first = datetime(days.since.year, days.since.month, days.since.day, tzinfo=zone)
    aired = [
        (one.air_at, one.air_at.astimezone(zone).date())
        for one in shows.shows(session, first, now)
    ]
    groups: dict[str, list[Thing]] = {}
    for thing in fleet.things.values():
        groups.setdefault(thing.model, []).append(thing)
    told = [
        _told(name, mine, fleet.reports, aired, now, settings.repeat_days, confidence)
        for name, mine in groups.items()
    ]
    order = {name: sum(one.failures for one in mine) for name, mine in groups.items()}
    return tuple(sorted(told, key=lambda one: (-order[one.model], one.model)))


def _told(  # noqa: PLR0913, PLR0917 - a model and what it is told with
    name: str,
    mine: Sequence[Thing],
    reports: Sequence[Report],
    aired: Sequence[tuple[datetime, date]],
    now: datetime,
    window: int,
    confidence: float,
) -> Recovery:
    keys = {one.key for one in mine}
    failures = [one for one in reports if one.counts and one.cause in keys]
    hours = [(one.restored_at - one.noticed_at) / _HOUR for one in failures if one.restored_at]
    open_for = [(now - one.noticed_at) / _HOUR for one in failures if not one.restored_at]
    found = restoration.restoration(hours, open_for, confidence=confidence)
    repeat = _repeat(mine, failures, now, window, confidence)
    at_shows: AtShows | None = None
    bands: tuple[Band, ...] = ()
    if len(failures) >= ENOUGH:
        touching = [one for one in reports if {one.seen, one.cause} & keys]
        at_shows = availability.at_shows(_faulty(mine, touching, aired), confidence=confidence)
    if mine[0].equipment_class == DRIVE:
        bands = _bands(mine, confidence)
    words = (_restored(found), _repeated(repeat), _shown(at_shows, len(failures)))
    return Recovery(name, found, repeat, at_shows, bands, words)


def _repeat(
    mine: Sequence[Thing],
    failures: Sequence[Report],
    now: datetime,
    window: int,
    confidence: float,
) -> RepeatRate:
    """Return how often the same symptom came back on the same unit; a unit's last day ends it."""
    ends = {one.key: max((s.until for s in _spans(one)), default=date.min) for one in mine}
    watched: list[float] = []
    back: list[float | None] = []
    for one in failures:
        if one.restored_at is None or not one.symptom or one.cause is None:
            continue
        left = now - timedelta(days=max(0, (now.date() - ends[one.cause]).days))
        again = [
            other.noticed_at
            for other in failures
            if (other.cause, other.symptom) == (one.cause, one.symptom)
            and other.noticed_at > one.restored_at
        ]
        until = (again[0] - one.restored_at) / _DAY if again else None
        watched.append(max(0.0, (left - one.restored_at) / _DAY, until or 0.0))
        back.append(until)
    return repeats.repeat_rate(watched, back, window, confidence=confidence)


def _spans(thing: Thing) -> Sequence[exposure.Days]:
    return thing.exposure.intervals if thing.exposure else ()


def _faulty(
    mine: Sequence[Thing], touching: Sequence[Report], aired: Sequence[tuple[datetime, date]]
) -> list[bool]:
    """Return for each unit and each show held while it was in use whether it had a fault."""
    found = []
    for thing in mine:
        own = [one for one in touching if thing.key in {one.seen, one.cause}]
        for at, day in aired:
            if any(span.since <= day < span.until for span in _spans(thing)):
                found.append(any(_open_at(one, at) for one in own))
    return found


def _open_at(one: Report, at: datetime) -> bool:
    return one.noticed_at <= at and (one.restored_at is None or one.restored_at > at)


def _bands(mine: Sequence[Thing], confidence: float) -> tuple[Band, ...]:
    clock = ages.of_things(mine)
    spans = list(zip(clock.starts, clock.ends, strict=True))
    events = [age for one in clock.events for age in one]
    return annualised.by_age(spans, events, _BANDS, confidence=confidence)


def _restored(found: Restoration) -> str:
    if found.mean is None or found.low is None or found.high is None:
        return f"No restoration is complete; {found.still_open} still open."
    share = "range" if found.is_range else f"two-sided {rates.percent(found.confidence)}"
    left = f"{found.still_open} still open"
    if found.oldest_open is not None:
        left += f", the oldest for {found.oldest_open:.1f} h"
    return (
        f"Mean time to restoration {found.mean:.1f} h ({share} {found.low:.1f} to "
        f"{found.high:.1f} h, n {found.completed}), median {found.median or 0:.1f} h; {left}."
    )


def _repeated(found: RepeatRate) -> str:
    if found.share is None and not found.pending:
        return "Nothing was restored that could come back."
    if found.share is None:
        return f"No restoration has been watched for {found.window:g} days yet."
    return (
        f"The same came back within {found.window:g} days after {found.repeats} of "
        f"{found.complete} restorations ({100 * found.share:.0f} %, two-sided "
        f"{rates.percent(found.confidence)} {100 * found.low:.0f} to {100 * found.high:.0f} %); "
        f"{found.pending} are too young to count."
    )


def _shown(found: AtShows | None, failures: int) -> str:
    if found is None:
        return (
            f"Availability at air time isn't told: {failures} of the {ENOUGH} failures it takes."
        )
    if found.share is None:
        return "No show was held while one was in use."
    return (
        f"Without an open fault at air time in {found.fit} of {found.shows} cases of a unit and a "
        f"show ({100 * found.share:.1f} %, two-sided {rates.percent(found.confidence)} "
        f"{100 * found.low:.1f} to {100 * found.high:.1f} % if cases were independent; those of "
        "one long fault aren't)."
    )
