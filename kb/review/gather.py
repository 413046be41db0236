"""Fetch what a review of some units goes by."""

from datetime import date, datetime, timedelta
from typing import Any

from sqlmodel import Session, col, func, or_, select

from kb.errors import InvalidError, Problem
from kb.faults import counting
from kb.faults.counting import Closed
from kb.gear import rooms
from kb.records.settings import Settings
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model, StateSpell
from kb.records.tables.journal import Base, History
from kb.records.tables.use import DriveTest, Service, ServiceItem, Show, Spare
from kb.review import gather_faults
from kb.review.facts import (
    Facts,
    Frame,
    ServiceFacts,
    SpeedFacts,
    UnitFacts,
)
from kb.review.methods import exposure, inputs, rates
from kb.review.methods.exposure import Days, Spell, Unit


def frame(
    session: Session,
    settings: Settings,
    now: datetime,
    *,
    since: date | None = None,
    until: date | None = None,
    confidence: float = rates.CONFIDENCE,
) -> Frame:
    """Return what all figures of one review share.

    Args:
        session: The unit of work.
        settings: The workspace's.
        now: The time now.
        since: The first day looked at; the day the log began by default.
        until: The day after the last one looked at; tomorrow by default, so that today counts.
        confidence: Of each two-sided interval, between 0 and 1.

    Raises:
        InvalidError: `log_began` isn't set, the days are the wrong way round, or no such
            confidence.
    """
    inputs.confidence(confidence)
    if settings.log_began is None:
        message = (
            "the day from which every fault was written down isn't set. Set it with "
            "'kitlore settings log_began=2026-01-01'."
        )
        raise InvalidError([Problem("log_began", message)])
    today = now.astimezone(settings.timezone).date()
    return Frame(
        window=Days(since or settings.log_began, until or today + timedelta(days=1)),
        began=settings.log_began,
        now=now,
        today=today,
        confidence=confidence,
        currency=settings.currency,
        minute_cost=settings.minute_cost,
        hold_days=settings.hold_days,
        repeat_days=settings.repeat_days,
        version=_version(session),
        rooms=rooms.minute_costs(session),
    )


def of_items(
    session: Session,
    settings: Settings,
    shared: Frame,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
) -> Facts:
    """Return all that a review of some items goes by.

    Args:
        session: The unit of work.
        settings: For the zone that days are cut in.
        shared: What the review's figures share.
        wanted: A selection of the items' keys, merged ones left out.
    """
    moves = gather_faults.placements(session, settings, wanted)
    faults = gather_faults.faults(session, settings, shared.window, wanted, moves)
    units, left_out = _units(session, settings, shared, wanted)
    return Facts(
        frame=shared,
        units=units,
        left_out=left_out,
        faults=faults,
        services=_services(session, settings, wanted, shared.window.until),
        shows=_shows(session, settings, shared),
        speeds=_speeds(session, settings, wanted, shared.window.until),
        needed_speed=session.scalar(select(func.max(Spare.needed_rate))),
        moves=moves,
        places=gather_faults.place_names(session),
    )


def _version(session: Session) -> str:
    """Return which state of the records this is: the base's mark and its last change."""
    mark = session.scalar(select(Base.mark)) or "unmarked"
    last = session.scalar(select(func.max(History.id))) or 0
    return f"{mark[:8]}-{last}"


def _units(
    session: Session,
    settings: Settings,
    shared: Frame,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
) -> tuple[tuple[UnitFacts, ...], tuple[tuple[str, str], ...]]:
    rows = session.execute(
        select(Item, Model)
        .outerjoin(Model, col(Item.model_id) == Model.id)
        .where(col(Item.id).in_(wanted))
        .order_by(col(Item.name), col(Item.code)),
    ).all()
    states = spells(session, settings, wanted)
    failed = _failures(session, settings, wanted)
    made: list[UnitFacts] = []
    left_out: list[tuple[str, str]] = []
    for item, model in rows:
        unit = Unit(
            item.code,
            item.in_service,
            tuple(states.get(item.key, ())),
            tuple(failed.get(item.key, ())),
        )
        found = exposure.of_units([unit], log_began=shared.began, window=shared.window)
        left_out += [(item.name, one.reason) for one in found.left_out]
        made += [_unit(item, model, one) for one in found.units if one.unit_days or one.failures]
    return tuple(made), tuple(left_out)


def _unit(item: Item, model: Model | None, exposed: exposure.UnitExposure) -> UnitFacts:
    assert item.in_service is not None  # noqa: S101 - else it would have been left out
    return UnitFacts(
        key=item.key,
        code=item.code,
        name=item.name,
        model=f"{model.maker} {model.name}" if model else "",
        equipment_class=(model.equipment_class or "") if model else "",
        plugs=str(model.technical.get("plugs", "")) if model else "",
        batch=item.batch or "",
        state=item.state,
        in_service=item.in_service,
        exposure=exposed,
        price=item.price_minor,
        warranty_until=item.warranty_until,
    )


def spells(
    session: Session,
    settings: Settings,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
) -> dict[int, list[Spell]]:
    """Return item -> its states by day, each up to the next.

    Args:
        session: The unit of work.
        settings: For the zone that days are cut in.
        wanted: A selection of the items' keys.
    """
    rows = session.execute(
        select(StateSpell.item_id, StateSpell.state, StateSpell.since)
        .where(col(StateSpell.item_id).in_(wanted))
        .order_by(col(StateSpell.item_id), col(StateSpell.since), col(StateSpell.id)),
    )
    begun: dict[int, list[tuple[str, date]]] = {}
    for item, state, since in rows:
        begun.setdefault(item, []).append((state, since.astimezone(settings.timezone).date()))
    return {
        item: [
            Spell(state, since, following[1] if following else None)
            for (state, since), following in zip(states, [*states[1:], None], strict=True)
        ]
        for item, states in begun.items()
    }


def _failures(
    session: Session,
    settings: Settings,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
) -> dict[int, list[date]]:
    rows = session.execute(
        select(Fault.id, Fault.noticed_at, Fault.cause_item_id, Fault.cause_kind).where(
            STANDS, col(Fault.cause_item_id).in_(wanted)
        ),
    )
    found: dict[int, list[date]] = {}
    for one in counting.failures(
        Closed(number, noticed.astimezone(settings.timezone).date(), item, kind)
        for number, noticed, item, kind in rows
    ):
        if one.cause_item is not None:
            found.setdefault(one.cause_item, []).append(one.day)
    return found


def _services(
    session: Session,
    settings: Settings,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
    until: date,
) -> tuple[ServiceFacts, ...]:
    own = set(session.scalars(wanted))
    mends = select(Fault.id).where(
        or_(col(Fault.seen_item_id).in_(wanted), col(Fault.cause_item_id).in_(wanted))
    )
    on_them = select(ServiceItem.service_id).where(
        col(ServiceItem.item_id).in_(wanted), col(ServiceItem.removed_at).is_(None)
    )
    rows = session.execute(
        select(Service, Fault, Entry.title)
        .outerjoin(Fault, col(Service.fault_id) == Fault.id)
        .outerjoin(Entry, col(Fault.entry_id) == Entry.id)
        .where(or_(col(Service.id).in_(on_them), col(Service.fault_id).in_(mends)))
        .order_by(col(Service.at), col(Service.id)),
    ).all()
    covered = _covered(session, [row[0].key for row in rows])
    found = []
    for service, fault, title in rows:
        mine = [pair for pair in covered.get(service.key, ()) if pair[0] in own]
        named = {fault.seen_item_id, fault.cause_item_id} & own if fault else set()
        found.append(
            ServiceFacts(
                number=service.key,
                day=service.at.astimezone(settings.timezone).date(),
                kind=service.kind,
                work=service.work,
                items=frozenset({item for item, _ in mine} | named),
                covered=len(covered.get(service.key, ())),
                cost=service.cost_minor,
                fault=service.fault_id,
                symptom=title or "",
                results=tuple(result for _, result in mine if result),
            )
        )
    return tuple(one for one in found if one.day < until)


def _covered(session: Session, keys: list[int]) -> dict[int, list[tuple[int, str | None]]]:
    """Return service -> the items that it covered, with what was found."""
    found: dict[int, list[tuple[int, str | None]]] = {}
    for service, item, result in session.execute(
        select(ServiceItem.service_id, ServiceItem.item_id, ServiceItem.result).where(
            col(ServiceItem.service_id).in_(keys), col(ServiceItem.removed_at).is_(None)
        )
    ):
        found.setdefault(service, []).append((item, result))
    return found


def _shows(
    session: Session, settings: Settings, shared: Frame
) -> tuple[tuple[datetime, date], ...]:
    rows = session.scalars(
        select(Show.air_at)
        .where(
            col(Show.cancelled_at).is_(None), Show.kind == "show", col(Show.air_at) <= shared.now
        )
        .order_by(col(Show.air_at)),
    )
    zone, window = settings.timezone, shared.window
    days = ((at, at.astimezone(zone).date()) for at in rows)
    return tuple(pair for pair in days if window.since <= pair[1] < window.until)


def _speeds(
    session: Session,
    settings: Settings,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
    until: date,
) -> tuple[SpeedFacts, ...]:
    rows = session.execute(
        select(DriveTest.item_id, DriveTest.at, DriveTest.write_rate)
        .where(col(DriveTest.item_id).in_(wanted))
        .order_by(col(DriveTest.at), col(DriveTest.id)),
    )
    found = (
        SpeedFacts(item, at.astimezone(settings.timezone).date(), rate) for item, at, rate in rows
    )
    return tuple(one for one in found if one.day < until)
