"""Sums over whole tables, made by the database: minutes lost and repairs, by model."""

from datetime import UTC, date, datetime, time

from sqlalchemy import case
from sqlmodel import Session, col, func, select

from kb.records.kinds import FAILURE_KINDS, ServiceKind
from kb.records.settings import Settings
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model
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
    minutes = _minutes(session, *ends)
    repairs = _repairs(session, *ends)
    return tuple(
        Sums(
            model=row.model,
            units=row.units,
            unit_days=row.unit_days,
            failures=row.failures,
            minutes=minutes.get(row.model, (0, 0))[0],
            cost=minutes.get(row.model, (0, 0))[1] * shared.minute_cost
            + repairs.get(row.model, 0),
        )
        for row in found.models
    )


def _utc(day: date, settings: Settings) -> datetime:
    return datetime.combine(day, time(), settings.timezone).astimezone(UTC)


def _minutes(session: Session, since: datetime, until: datetime) -> dict[str, tuple[int, int]]:
    """Return model -> minutes lost with all faults about it, and with failures alone."""
    about = func.coalesce(Fault.cause_item_id, Fault.seen_item_id)
    lost = func.coalesce(Fault.minutes_lost, 0)
    failed = case((col(Fault.cause_kind).in_(FAILURE_KINDS), lost), else_=0)
    caused = case((col(Fault.cause_item_id).is_not(None), failed), else_=0)
    rows = session.execute(
        select(Model.maker, Model.name, func.sum(lost), func.sum(caused))
        .join(Item, col(Item.model_id) == Model.id)
        .join(Fault, about == Item.id)
        .where(
            col(Fault.merged_into_id).is_(None),
            col(Fault.noticed_at) >= since,
            col(Fault.noticed_at) < until,
        )
        .group_by(col(Model.id), col(Model.maker), col(Model.name)),
    )
    return {f"{maker} {name}": (every, failures) for maker, name, every, failures in rows}


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
