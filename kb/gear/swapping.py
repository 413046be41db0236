"""Put a spare in the place of a unit: its position and its links, in one act."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from kb.errors import ConflictError, UnlikelyError
from kb.gear import links, loans, lookup, placing, readiness
from kb.records import journal
from kb.records.kinds import ItemState, PlaceKind
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model, Place
from kb.records.tables.use import Link


@dataclass(frozen=True)
class Asked:
    """How a swap is asked for.

    Attributes:
        lying: Name, path or code of the place where the unit lies from then on; where the spare
            lay, if it's left out.
        sure: A spare of another class, a doubtful one or one with an open fault is meant.
    """

    lying: str | None = None
    sure: bool = False


PLAIN = Asked()


def swap_item(
    session: Session,
    typed: str,
    spare: str,
    at: datetime,
    seen: int | None = None,
    asked: Asked = PLAIN,
) -> int:
    """Put a spare where a unit is, and the unit aside; return how many links moved.

    Each open link of the unit ends, and one like it begins on the spare. A cable takes over the
    link that the other one makes.

    Args:
        session: The unit of work.
        typed: Code or name of the unit that goes out.
        spare: Code or name of the one that comes in.
        at: When.
        seen: The version of the unit that was looked at.
        asked: Where the unit goes, and whether an unlikely spare is meant.

    Raises:
        ConflictError: Changed since it was seen, both are one, the spare isn't fit or is joined
            to something itself, or away, or another one fills the position.
        NotFoundError: One of them or the place is unknown.
        UnlikelyError: The spare is of another class, doubtful or has an open fault.
    """
    out = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    into = journal.for_change(session, Item, lookup.item(session, spare).key)
    joined = _open_links(session, out.key)
    place = lookup.place(session, asked.lying) if asked.lying else None
    _require_possible(session, out, into)
    if not asked.sure:
        _require_likely(session, out, into)
    for link in joined:
        links.disconnect(session, f"link {link.key}", at)
    _change_places(session, out, into, place, at)
    for link in joined:
        links.connect(session, _as_typed(session, link, out, into), at)
    session.flush()
    return len(joined)


def _require_possible(session: Session, out: Item, into: Item) -> None:
    if out.key == into.key:
        raise ConflictError(f"{out.name} can't take its own place. Name another one.")
    if into.state not in (ItemState.FIT, ItemState.DOUBTFUL):
        raise ConflictError(f"{into.name} is {into.state}. Name one that is fit.")
    for loan in loans.loans_of(session, into.code):
        if loan.back_at is None:
            raise ConflictError(f"{into.name} is on loan to {loan.borrower}. Take it back first.")
    if _open_links(session, into.key):
        raise ConflictError(f"{into.name} is joined to something. Disconnect it first.")


def _require_likely(session: Session, out: Item, into: Item) -> None:
    doubts = []
    ours, theirs = (_class(session, one) for one in (out, into))
    if ours and theirs and ours != theirs:
        doubts.append(f"is of class {theirs} and {out.name} of class {ours}")
    if into.state == ItemState.DOUBTFUL:
        doubts.append("is doubtful")
    faults = session.scalars(
        select(Fault.id).where(col(Fault.seen_item_id) == into.key, readiness.is_open(None))
    ).all()
    if faults:
        doubts.append(f"has an open fault ({', '.join(str(one) for one in faults)})")
    if doubts:
        raise UnlikelyError(f"{into.name} {' and '.join(doubts)}.")


def _class(session: Session, item: Item) -> str | None:
    model = session.get(Model, item.model_id) if item.model_id is not None else None
    return model.equipment_class if model else None


def _open_links(session: Session, key: int) -> list[Link]:
    found = session.scalars(
        select(Link)
        .where(
            col(Link.until).is_(None),
            (col(Link.cable_id) == key)
            | (col(Link.from_item_id) == key)
            | (col(Link.to_item_id) == key),
        )
        .order_by(col(Link.id)),
    )
    return list(found)


def _change_places(
    session: Session, out: Item, into: Item, aside: Place | None, at: datetime
) -> None:
    """Let the spare lie where the unit lay; a position is emptied before it's filled."""
    there, here = (_place(session, one.place_id) for one in (out, into))
    aside = aside or here
    in_its_way = aside == here and aside is not None and aside.kind == PlaceKind.POSITION
    if aside != there:
        placing.put(session, out, None if in_its_way else aside, at, f"swapped for {into.name}")
    if here != there:
        placing.put(session, into, there, at, f"in place of {out.name}")
    if in_its_way and aside != there:
        placing.put(session, out, aside, at, f"swapped for {into.name}")


def _place(session: Session, key: int | None) -> Place | None:
    return session.get_one(Place, key) if key is not None else None


def _as_typed(session: Session, link: Link, out: Item, into: Item) -> dict[str, str | None]:
    """Return the link as it's typed, the spare in the place of the unit."""

    def code(key: int | None) -> str | None:
        if key is None:
            return None
        return into.code if key == out.key else session.get_one(Item, key).code

    return {
        "cable": code(link.cable_id),
        "from_item": code(link.from_item_id),
        "from_port": link.from_port,
        "to_item": code(link.to_item_id),
        "to_port": link.to_port,
    }
