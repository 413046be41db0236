"""Sums over whole tables, made by the database: minutes lost and repairs, by model."""

from datetime import UTC, date, datetime, time
from typing import Any

import sqlalchemy as sql
from sqlalchemy import Integer, case, cast, null
from sqlmodel import Session, col, func, select

from kb.records.kinds import FAILURE_KINDS, ServiceKind
from kb.records.settings import Settings
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model, Placement
from kb.records.tables.use import Service, ServiceItem
from kb.review import report
from kb.review.facts import Frame
from kb.review.parts.first import Sums


def by_model(session: Session, settings: Settings, shared: Frame) -> tuple[Sums, ...]:
    """Return what each model adds up to in the window.

    Args:
        session: The unit of work.
        settings: For the zone that days are cut in.
        shared: What the review's figures share.
    """
    window = shared.window
    found = report.review_models(
        session,
        settings,
        shared.now,
        since=window.since,
        until=window.until,
        confidence=shared.confidence,
    )
    ends = [_utc(day, settings) for day in (window.since, window.until)]
    minutes = _minutes(session, shared, *ends)
    repairs = _repairs(session, *ends)
    plugs = {f"{one.maker} {one.name}": _plugs(one) for one in session.scalars(select(Model))}
    return tuple(
        Sums(
            model=row.model,
            sort=f"{row.equipment_class} {plugs.get(row.model, '')}".strip(),
            units=row.units,
            unit_days=row.unit_days,
            failures=row.failures,
            minutes=minutes.get(row.model, (0, 0))[0],
            cost=minutes.get(row.model, (0, 0))[1] + repairs.get(row.model, 0),
        )
        for row in found.models
    )


def _seen_at() -> Any:  # noqa: ANN401 - SQLAlchemy's own
    """Return the place named on a fault, else where the item that it was seen on lay then."""
    lay = (
        select(Placement.place_id)
        .where(Placement.item_id == Fault.seen_item_id, Placement.since <= Fault.noticed_at)
        .order_by(col(Placement.since).desc(), col(Placement.id).desc())
        .limit(1)
        .correlate(Fault)
        .scalar_subquery()
    )
    return func.coalesce(Fault.seen_place_id, lay)


def _plugs(model: Model) -> str:
    return str(model.technical.get("plugs", ""))


def _utc(day: date, settings: Settings) -> datetime:
    return datetime.combine(day, time(), settings.timezone).astimezone(UTC)


def _minutes(
    session: Session, shared: Frame, since: datetime, until: datetime
) -> dict[str, tuple[int, int]]:
    """Return model -> minutes lost with all faults about it, and what those of failures cost."""
    about = func.coalesce(Fault.cause_item_id, Fault.seen_item_id)
    lost = func.coalesce(Fault.minutes_lost, 0)
    failed = case((col(Fault.cause_kind).in_(FAILURE_KINDS), lost), else_=0)
    caused = case((col(Fault.cause_item_id).is_not(None), failed), else_=0)
    # Where it happened matters only where rooms have rates of their own.
    where: Any = _seen_at() if shared.rooms else cast(null(), Integer)
    columns: list[Any] = [
        col(Model.maker),
        col(Model.name),
        where.label("place"),
        lost.label("lost"),
        caused.label("caused"),
    ]
    each = (
        select(*columns)
        .join(Item, col(Item.model_id) == Model.id)
        .join(Fault, about == Item.id)
        .where(STANDS, col(Fault.noticed_at) >= since, col(Fault.noticed_at) < until)
        .subquery()
    )
    by = (each.c.maker, each.c.name, each.c.place)
    rows = session.execute(
        sql.select(*by, func.sum(each.c.lost), func.sum(each.c.caused)).group_by(*by)
    )
    found: dict[str, tuple[int, int]] = {}
    for maker, name, place, every, failures in rows:
        had = found.get(f"{maker} {name}", (0, 0))
        cost = failures * shared.a_minute(place)
        found[f"{maker} {name}"] = had[0] + every, had[1] + cost
    return found


def _repairs(session: Session, since: datetime, until: datetime) -> dict[str, int]:
    """Return model -> what repairs of its items cost, one that covered two models once each."""
    wanted = (
        select(Model.maker, Model.name, Service.id, Service.cost_minor)
        .join(Item, col(Item.model_id) == Model.id)
        .join(ServiceItem, col(ServiceItem.item_id) == Item.id)
        .join(Service, col(ServiceItem.service_id) == Service.id)
        .where(
            Service.kind == ServiceKind.REPAIR,
            col(Service.cost_minor).is_not(None),
            col(ServiceItem.removed_at).is_(None),
            col(Service.at) >= since,
            col(Service.at) < until,
        )
        .distinct()
    )
    found: dict[str, int] = {}
    for maker, name, _, cost in session.execute(wanted):
        found[f"{maker} {name}"] = found.get(f"{maker} {name}", 0) + (cost or 0)
    return found
