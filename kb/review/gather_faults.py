"""Fetch the faults on or about some items, with where they were seen."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import aliased
from sqlmodel import Session, col, or_, select

from kb.records.settings import Settings
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model, Place, Placement
from kb.review.facts import FaultFacts, Moves
from kb.review.methods.exposure import Days


def faults(
    session: Session,
    settings: Settings,
    window: Days,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
    lay: Mapping[int, Moves],
) -> tuple[FaultFacts, ...]:
    """Return the faults of a window on or about some items, the oldest first.

    Args:
        session: The unit of work.
        settings: For the zone that days are cut in.
        window: The days looked at.
        wanted: A selection of the items' keys.
        lay: Where items lay.
    """
    seen, cause = aliased(Item), aliased(Item)
    seen_model, cause_model, place = aliased(Model), aliased(Model), aliased(Place)
    # Columns and no records: of many faults the latter would take most of the time.
    columns: list[Any] = [
        *(Fault.id, Fault.noticed_at, Fault.restored_at, Fault.cause_kind, Fault.minutes_lost),
        *(Fault.effect, Entry.title, place.id, place.name),
        *(seen.id, seen.name, seen_model.equipment_class),
        *(cause.id, cause.name, cause_model.equipment_class),
    ]
    rows = session.execute(
        select(*columns)
        .outerjoin(seen, col(Fault.seen_item_id) == seen.id)
        .outerjoin(seen_model, col(seen.model_id) == seen_model.id)
        .outerjoin(cause, col(Fault.cause_item_id) == cause.id)
        .outerjoin(cause_model, col(cause.model_id) == cause_model.id)
        .outerjoin(place, col(Fault.seen_place_id) == place.id)
        .outerjoin(Entry, col(Fault.entry_id) == Entry.id)
        .where(
            STANDS,
            or_(col(Fault.seen_item_id).in_(wanted), col(Fault.cause_item_id).in_(wanted)),
        )
        .order_by(col(Fault.noticed_at), col(Fault.id)),
    ).all()
    names = place_names(session)
    found: list[FaultFacts] = []
    for row in rows:
        day = row[1].astimezone(settings.timezone).date()
        if window.since <= day < window.until:
            where = row[7] or _lay_at(lay, row[9], row[1])
            found.append(_fact(tuple(row), day, where, names))
    return tuple(found)


def _fact(
    row: tuple[Any, ...], day: date, where: int | None, names: Mapping[int, str]
) -> FaultFacts:
    number, noticed, restored, kind, minutes, effect, title, _, named, *ends = row
    seen, seen_name, seen_class, cause, cause_name, cause_class = ends
    return FaultFacts(
        number=number,
        day=day,
        noticed_at=noticed,
        restored_at=restored,
        seen=seen,
        seen_name=seen_name or named or "",
        seen_class=seen_class or "",
        place=where,
        place_name=names.get(where, "") if where else "",
        cause=cause,
        cause_name=cause_name or "",
        cause_class=cause_class or "",
        kind=kind,
        minutes=minutes,
        effect=effect,
        symptom=title or "",
    )


def place_names(session: Session) -> dict[int, str]:
    """Return place -> its name."""
    rows = session.execute(select(Place.id, Place.name))
    return {key: name for key, name in rows if key is not None}


def placements(
    session: Session,
    settings: Settings,
    wanted: Any,  # noqa: ANN401 - SQLAlchemy's own
) -> dict[int, Moves]:
    """Return item -> from when it lay at which place in the workspace's time, the oldest first.

    Args:
        session: The unit of work.
        settings: For the zone that days are cut in.
        wanted: A selection of the items' keys.
    """
    rows = session.execute(
        select(Placement.item_id, Placement.since, Placement.place_id)
        .where(col(Placement.item_id).in_(wanted))
        .order_by(col(Placement.since), col(Placement.id)),
    )
    found: dict[int, list[tuple[datetime, int | None]]] = {}
    for item, since, place in rows:
        found.setdefault(item, []).append((since.astimezone(settings.timezone), place))
    return {item: tuple(moves) for item, moves in found.items()}


def _lay_at(lay: Mapping[int, Moves], item: int | None, at: datetime) -> int | None:
    known = lay.get(item, ()) if item is not None else ()
    return next((place for since, place in reversed(known) if since <= at), None)
