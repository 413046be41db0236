"""What the review looks at: units with their exposure, and the faults seen on them or theirs."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlmodel import Session, col, or_, select

from kb.errors import NotFoundError
from kb.faults import counting
from kb.faults.counting import Closed
from kb.gear import lookup
from kb.records.kinds import ItemState
from kb.records.settings import Settings
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model
from kb.review import watched
from kb.review.methods import exposure
from kb.review.methods.exposure import Days, Unit, UnitExposure


@dataclass(frozen=True)
class Thing:
    """One item of the fleet.

    Attributes:
        key: Its key.
        code: Its code.
        name: What the crew calls it.
        model: Maker and name of its model.
        equipment_class: Of its model.
        job: What tells it from others of its class that it can't stand in for: its plugs.
        batch: Empty where none is known.
        in_service: The day; None is 'not known', and then there is no exposure.
        price_minor: What was paid; None where nobody said.
        warranty_until: The last day of it.
        in_use: It's neither set aside nor retired.
        exposure: When it was exposed, and which failures count.
    """

    key: int
    code: str
    name: str
    model: str
    equipment_class: str
    job: str
    batch: str
    in_service: date | None
    price_minor: int | None
    warranty_until: date | None
    in_use: bool
    exposure: UnitExposure | None

    @property
    def unit_days(self) -> int:
        """For how many days it was exposed."""
        return self.exposure.unit_days if self.exposure else 0

    @property
    def failures(self) -> int:
        """How many failures count on it."""
        return len(self.exposure.failures) if self.exposure else 0


@dataclass(frozen=True)
class Report:
    """A fault in the window.

    Attributes:
        number: Its number.
        day: On which it was noticed.
        noticed_at: When.
        restored_at: When; None while it's open.
        seen: Key of the item it was seen on.
        place: Path of the place where it was seen.
        cause: Key of the item to blame.
        kind: Cause kind; empty while nobody said.
        effect: What it did to the show.
        minutes: That it cost; 0 where nobody said.
        symptom: Slug of the entry that fits.
        text: What was reported.
        counts: It's a failure of its cause item.
    """

    number: int
    day: date
    noticed_at: datetime
    restored_at: datetime | None
    seen: int | None
    place: str
    cause: int | None
    kind: str
    effect: str
    minutes: int
    symptom: str
    text: str
    counts: bool


@dataclass(frozen=True)
class Fleet:
    """Units of a class, or all, the faults that touch them, and what they're called.

    Attributes:
        window: The days looked at.
        things: The units, by key, those of the class alone.
        reports: The faults seen on one of them or blamed on one, oldest first.
        names: Key -> name of every item that a report names.
        classes: Key -> class, likewise.
    """

    window: Days
    things: Mapping[int, Thing]
    reports: tuple[Report, ...]
    names: Mapping[int, str]
    classes: Mapping[int, str]


def fetch(
    session: Session,
    settings: Settings,
    now: datetime,
    *,
    since: date | None = None,
    until: date | None = None,
    equipment_class: str = "",
) -> Fleet:
    """Return the units of a class, or all, and the faults that touch them.

    Args:
        session: The unit of work.
        settings: The workspace's zone and the day its log began.
        now: The time now.
        since: The first day looked at; the day the log began by default.
        until: The day after the last one looked at; tomorrow by default.
        equipment_class: The class; all where it's empty.

    Raises:
        InvalidError: `log_began` isn't set, or the days are the wrong way round.
        NotFoundError: No unit is of that class.
    """
    looked = watched.window(settings, now, since, until)
    query = select(Item, Model).join(Model, col(Item.model_id) == Model.id)
    if equipment_class:
        query = query.where(Model.equipment_class == equipment_class)
    rows = session.execute(query.where(col(Item.merged_into_id).is_(None))).all()
    if equipment_class and not rows:
        raise NotFoundError(
            "item of class", equipment_class, "'kitlore model list' shows the classes in use."
        )
    known = watched.units(session, [item for item, _ in rows], settings.timezone)
    began = watched.log_began(settings)
    things = {item.key: _thing(item, model, known, began, looked) for item, model in rows}
    reports = _reports(session, settings.timezone, looked, equipment_class)
    named = {key for one in reports for key in (one.seen, one.cause) if key is not None}
    names, classes = _named(session, named | things.keys() if equipment_class else None)
    return Fleet(looked, things, reports, names, classes)


def keys_of(fleet: Fleet, model: str) -> frozenset[int]:
    """Return the units of a model, given by its name with or without the maker's.

    Raises:
        NotFoundError: No unit among them is of that model.
    """
    wanted = model.casefold()
    keys = frozenset(
        key
        for key, one in fleet.things.items()
        if one.model.casefold() == wanted or one.model.casefold().endswith(f" {wanted}")
    )
    if not keys:
        raise NotFoundError("unit of model", model, "'kitlore model list' shows the models.")
    return keys


def _thing(item: Item, model: Model, known: Mapping[int, Unit], began: date, days: Days) -> Thing:
    found = exposure.of_units([known[item.key]], log_began=began, window=days)
    return Thing(
        key=item.key,
        code=item.code,
        name=item.name,
        model=f"{model.maker} {model.name}",
        equipment_class=model.equipment_class or "",
        job=str(model.technical.get("plugs", "")),
        batch=item.batch or "",
        in_service=item.in_service,
        price_minor=item.price_minor,
        warranty_until=item.warranty_until,
        in_use=item.state in (ItemState.FIT, ItemState.DOUBTFUL),
        exposure=found.units[0] if found.units else None,
    )


def _reports(
    session: Session, zone: ZoneInfo, days: Days, equipment_class: str
) -> tuple[Report, ...]:
    query = (
        select(Fault, Entry.slug)
        .outerjoin(Entry, col(Fault.entry_id) == Entry.id)
        .where(STANDS)
        .order_by(col(Fault.noticed_at), col(Fault.id))
    )
    if equipment_class:
        mine = (
            select(Item.id)
            .join(Model, col(Item.model_id) == Model.id)
            .where(Model.equipment_class == equipment_class)
        )
        query = query.where(
            or_(col(Fault.seen_item_id).in_(mine), col(Fault.cause_item_id).in_(mine))
        )
    rows = [
        (fault, slug or "", fault.noticed_at.astimezone(zone).date())
        for fault, slug in session.execute(query)
    ]
    closed = (Closed(f.key, day, f.cause_item_id, f.cause_kind) for f, _, day in rows)
    counted = {one.number for one in counting.failures(closed)}
    places = lookup.Tree(session, retired=True)
    return tuple(
        _report(fault, slug, day, places.path(fault.seen_place_id), counted)
        for fault, slug, day in rows
        if days.since <= day < days.until
    )


def _report(fault: Fault, slug: str, day: date, place: str, counted: set[int]) -> Report:
    return Report(
        number=fault.key,
        day=day,
        noticed_at=fault.noticed_at,
        restored_at=fault.restored_at,
        seen=fault.seen_item_id,
        place=place,
        cause=fault.cause_item_id,
        kind=fault.cause_kind or "",
        effect=fault.effect,
        minutes=fault.minutes_lost or 0,
        symptom=slug,
        text=fault.text,
        counts=fault.key in counted,
    )


def _named(session: Session, keys: set[int] | None) -> tuple[dict[int, str], dict[int, str]]:
    query = select(Item.id, Item.name, Model.equipment_class).outerjoin(
        Model, col(Item.model_id) == Model.id
    )
    if keys is not None:
        query = query.where(col(Item.id).in_(keys))
    rows = session.execute(query).all()
    return {key: name for key, name, _ in rows}, {key: kind or "" for key, _, kind in rows}
