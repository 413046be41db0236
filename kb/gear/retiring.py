"""What a unit joined when it was retired: ended with it, joined again where that was a slip."""

from datetime import datetime, timedelta

from sqlalchemy import ColumnElement
from sqlmodel import Session, col, or_, select

from kb.errors import ConflictError
from kb.gear import links
from kb.records.tables.gear import Item, StateSpell
from kb.records.tables.use import Link

# Taken back later than this, what it joined has been built anew; common practice, no source.
SLIP = timedelta(days=1)


def end_links(session: Session, item: Item, at: datetime) -> tuple[int, ...]:
    """End every link that an item makes or that ends on it, and return their numbers.

    Args:
        session: The unit of work.
        item: What goes out of use.
        at: When; a link that began later ends when it began.
    """
    found = session.scalars(
        select(Link).where(col(Link.until).is_(None), _of(item)).order_by(col(Link.id))
    ).all()
    for link in found:
        link.until = max(at, link.since)
    session.flush()
    return tuple(link.key for link in found)


def since(session: Session, item: Item) -> datetime | None:
    """Return since when an item has been in the state that it's in; None for never changed."""
    return session.scalars(
        select(StateSpell.since)
        .where(StateSpell.item_id == item.key)
        .order_by(col(StateSpell.since).desc(), col(StateSpell.id).desc())
        .limit(1)
    ).first()


def join_again(session: Session, item: Item, ended: datetime, at: datetime) -> tuple[int, ...]:
    """Join again what ended when an item was retired by a slip, and return the links' numbers.

    What has been joined otherwise since is left as it is.

    Args:
        session: The unit of work.
        item: What is in use again.
        ended: When it was retired.
        at: From when it's in use again.
    """
    if at - ended > SLIP:
        return ()
    found = session.scalars(
        select(Link).where(col(Link.until) == ended, _of(item)).order_by(col(Link.id))
    ).all()
    return tuple(number for link in found for number in _joined(session, link, at))


def _joined(session: Session, link: Link, at: datetime) -> tuple[int, ...]:
    try:
        return (links.connect(session, links.ends_of(session, link), at),)
    except ConflictError:
        return ()


def _of(item: Item) -> ColumnElement[bool]:
    ends = (Link.cable_id, Link.from_item_id, Link.to_item_id)
    return or_(*(col(end) == item.key for end in ends))
