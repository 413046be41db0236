"""Before and after: whether a service, a firmware step or a purchase changed anything."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlmodel import Session, col, select

from kb.errors import InvalidError, NotFoundError, Problem
from kb.records.settings import Settings
from kb.records.tables.base import KEY_LIMIT
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Fault
from kb.records.tables.use import Service, ServiceItem
from kb.review import fleet as fleets
from kb.review.fleet import Fleet, Report
from kb.review.methods import rates, ratios
from kb.review.methods.choosing import ENOUGH
from kb.review.methods.rates import Rate
from kb.review.methods.ratios import RateRatio


@dataclass(frozen=True)
class Hindsight:
    """What happened before and after a day.

    Attributes:
        title: What was done that day.
        day: The day; it counts as after.
        things: The units looked at, by name.
        symptom: The entry whose faults are counted; empty for all failures.
        counted: What is counted, in words.
        before: Faults a unit and year before.
        after: Faults a unit and year from the day on.
        ratio: After over before.
        words: What it comes to.
    """

    title: str
    day: date
    things: tuple[str, ...]
    symptom: str
    counted: str
    before: Rate
    after: Rate
    ratio: RateRatio
    words: str


def services(session: Session, settings: Settings) -> tuple[tuple[int, date, str], ...]:
    """Return the services that hindsight can be asked about: number, day, work; newest first."""
    rows = session.scalars(select(Service).order_by(col(Service.at).desc())).all()
    zone = settings.timezone
    return tuple((one.key, one.at.astimezone(zone).date(), one.work) for one in rows)


def of_service(
    session: Session,
    settings: Settings,
    now: datetime,
    number: int,
    *,
    confidence: float = rates.CONFIDENCE,
) -> Hindsight:
    """Return what happened to a service's items before and after it.

    Where it answered a fault that an entry fits, reports of that symptom are counted, whatever
    caused them, on the items of the kind that had it; else failures of its items.

    Args:
        session: The unit of work.
        settings: The workspace's zone and the day its log began.
        now: The time now.
        number: The service's.
        confidence: Of each two-sided interval.

    Raises:
        InvalidError: None of its items was watched both before and after.
        NotFoundError: No service has the number.
    """
    service = session.get(Service, number) if number < KEY_LIMIT else None
    if service is None:
        raise NotFoundError("service", str(number), "'kitlore review hindsight' lists them.")
    keys = set(
        session.scalars(
            select(ServiceItem.item_id).where(
                ServiceItem.service_id == number, col(ServiceItem.removed_at).is_(None)
            )
        )
    )
    found = fleets.fetch(session, settings, now)
    symptom = ""
    answered = session.get(Fault, service.fault_id) if service.fault_id else None
    if answered is not None and answered.entry_id:
        entry = session.get(Entry, answered.entry_id)
        symptom = entry.slug if entry else ""
        keys = _of_kind(found, keys, answered.cause_item_id or answered.seen_item_id)
    day = service.at.astimezone(settings.timezone).date()
    return told(found, service.work, day, frozenset(keys), symptom, confidence=confidence)


def told(
    fleet: Fleet,
    title: str,
    day: date,
    keys: frozenset[int],
    symptom: str,
    *,
    confidence: float = rates.CONFIDENCE,
) -> Hindsight:
    """Return what happened to units before and after a day.

    Args:
        fleet: All units, and all faults of the window.
        title: What was done that day.
        day: The day; it counts as after.
        keys: The units.
        symptom: The slug of the entry whose reports are counted; empty for failures.
        confidence: Of each two-sided interval.

    Raises:
        InvalidError: None of the units was watched both before and after.
    """
    mine = [fleet.things[key] for key in sorted(keys) if key in fleet.things]
    counts, days = [0, 0], [0, 0]
    for one in fleet.reports:
        if _counts(one, keys, symptom):
            counts[one.day >= day] += 1
    for thing in mine:
        for span in thing.exposure.intervals if thing.exposure else ():
            days[0] += max(0, (min(span.until, day) - span.since).days)
            days[1] += max(0, (span.until - max(span.since, day)).days)
    if not all(days):
        message = f"none of its items was watched both before and after {day}. Name another day."
        raise InvalidError([Problem("day", message)])
    before, after = (
        rates.yearly_rate(n, t, confidence=confidence) for n, t in zip(counts, days, strict=True)
    )
    ratio = ratios.rate_ratio(counts[1], days[1], counts[0], days[0], confidence=confidence)
    counted = f"reports of '{symptom}'" if symptom else "failures"
    names = tuple(one.name for one in mine)
    words = _words(counted, counts, days, ratio)
    return Hindsight(title, day, names, symptom, counted, before, after, ratio, words)


def _of_kind(fleet: Fleet, keys: set[int], answered: int | None) -> set[int]:
    """Return the items of the class that had the fault, the one that had it among them."""
    if answered is None or answered not in fleet.things:
        return keys
    kind = fleet.things[answered].equipment_class
    return {key for key in keys if fleet.classes.get(key) == kind} | {answered}


def _counts(one: Report, keys: frozenset[int], symptom: str) -> bool:
    if symptom:
        return one.symptom == symptom and bool({one.seen, one.cause} & keys)
    return one.counts and one.cause in keys


def _words(counted: str, counts: list[int], days: list[int], ratio: RateRatio) -> str:
    seen = (
        f"{counts[0]} {counted} in {days[0]:,} unit-days before, {counts[1]} in {days[1]:,} from "
        "the day on"
    )
    share = f"two-sided {rates.percent(ratio.confidence)}"
    high = "no upper limit" if ratio.high is None else f"to {rates.figure(ratio.high)}"
    low = rates.figure(ratio.low) if ratio.low else "0"
    limits = f"rate after over before from {low} {high} ({share}), p {ratio.p:.3f}"
    if ratio.p > 1 - ratio.confidence:
        few = sum(counts) < ENOUGH
        told = "Too few to tell" if few else "No evidence that it changed anything"
        return f"{told}: {seen}; {limits}."
    better = ratio.ratio is not None and ratio.ratio < 1
    if not better:
        return f"More since then, not fewer: {seen}; {limits}."
    return (
        f"Fewer since then: {seen}; {limits}. Part of such a fall is chance where the step was "
        "taken because of many faults."
    )
