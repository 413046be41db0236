"""Put an item at a place: where it lay before stays known, and a position holds one item."""

from datetime import datetime

from sqlmodel import Session, col, select

from kb.errors import ConflictError
from kb.records import journal
from kb.records.kinds import ItemState, PlaceKind
from kb.records.tables.gear import Item, Place, Placement


def put(
    session: Session, item: Item, place: Place | None, at: datetime, reason: str | None = None
) -> None:
    """Record that an item lies at a place from a time on; None is nowhere known.

    A time before that of its newest placement tells only where it lay meanwhile.

    Raises:
        ConflictError: The item is retired, or another one fills the position.
    """
    if item.state == ItemState.RETIRED:
        raise ConflictError(f"{item.name} is retired. Make it fit again first.")
    key = place.key if place else None
    session.add(Placement(item_id=item.key, place_id=key, since=at, reason=reason))
    session.flush()
    now = newest(session, item.key)
    if now != item.place_id:
        require_empty(session, now, item)
        item.place_id = now


def newest(session: Session, item: int) -> int | None:
    """Return the key of the place where an item was put last."""
    return session.scalars(
        select(Placement.place_id)
        .where(Placement.item_id == item)
        .order_by(col(Placement.since).desc(), col(Placement.id).desc())
        .limit(1),
    ).first()


def require_empty(session: Session, key: int | None, item: Item) -> None:
    """Refuse a position that another item fills; any other place holds many.

    Raises:
        ConflictError: Naming the item that fills it.
    """
    place = session.get(Place, key) if key is not None else None
    if place is None or place.kind != PlaceKind.POSITION:
        return
    journal.for_change(session, Place, place.key)  # one filler at a time
    there = session.scalars(
        select(Item).where(
            Item.place_id == place.key, Item.state != ItemState.RETIRED, Item.id != item.key
        ),
    ).first()
    if there is not None:
        raise ConflictError(
            f"{place.name} is a position and {there.name} fills it. Move {there.name} first."
        )
