"""Which items lie ready: fit, free, here, no fault open; now, or as it was at a time."""

from datetime import datetime

from sqlalchemy import ColumnElement, ScalarSelect, exists
from sqlmodel import Session, and_, col, or_, select

from kb.gear import loans, lookup, paths
from kb.records.kinds import ItemState
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Placement, StateSpell
from kb.records.tables.use import DriveTest, Link, Loan


def ready(at: datetime | None) -> list[ColumnElement[bool]]:
    """Return the conditions that an item is fit, free, not on loan and without an open fault.

    Args:
        at: As it was at that time; as it is where it's None.
    """
    # One question for each end: of three in one, SQLite makes a list of links for each item.
    ends = (Link.cable_id, Link.from_item_id, Link.to_item_id)
    return [
        col(Item.merged_into_id).is_(None),
        (col(Item.state) if at is None else _state(at)) == ItemState.FIT,
        *(~exists().where(col(end) == Item.id, paths.during(at)) for end in ends),
        ~exists().where(col(Loan.item_id) == Item.id, loans.away(at)),
        ~exists().where(col(Fault.seen_item_id) == Item.id, is_open(at)),
    ]


def is_open(at: datetime | None) -> ColumnElement[bool]:
    """Return the condition that a fault wasn't restored: now, or as it was at a time."""
    stands = and_(STANDS, col(Fault.closed_at).is_(None))
    if at is None:
        return and_(stands, col(Fault.restored_at).is_(None))
    later = or_(col(Fault.restored_at).is_(None), col(Fault.restored_at) > at)
    return and_(STANDS, col(Fault.noticed_at) <= at, later)


def lying_in(session: Session, place: int, at: datetime) -> ColumnElement[bool]:
    """Return the condition that an item lay at a place, or in what lies in it today."""
    keys = lookup.Tree(session, retired=True).within(place)
    last = (
        select(Placement.place_id)
        .where(Placement.item_id == Item.id, Placement.since <= at)
        .order_by(col(Placement.since).desc(), col(Placement.id).desc())
        .limit(1)
        .scalar_subquery()
    )
    return last.in_(keys)


def fast_enough(rate: int, at: datetime) -> ColumnElement[bool]:
    """Return the condition that a drive's last test measured a rate at least.

    Args:
        rate: Bytes per second.
        at: As it was known at that time.
    """
    last = (
        select(DriveTest.write_rate)
        .where(DriveTest.item_id == Item.id, DriveTest.at <= at)
        .order_by(col(DriveTest.at).desc(), col(DriveTest.id).desc())
        .limit(1)
        .scalar_subquery()
    )
    return last >= rate


def _state(at: datetime) -> ScalarSelect[str]:
    return (
        select(StateSpell.state)
        .where(StateSpell.item_id == Item.id, StateSpell.since <= at)
        .order_by(col(StateSpell.since).desc(), col(StateSpell.id).desc())
        .limit(1)
        .scalar_subquery()
    )
