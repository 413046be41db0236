"""What may be joined: a free port at each end, a free cable between them, nothing retired."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, and_, col, or_, select

from kb.errors import ConflictError, InvalidError, Problem
from kb.gear import lookup
from kb.records.kinds import ItemState
from kb.records.tables.gear import Item
from kb.records.tables.use import Link

CABLE = "cable"


@dataclass(frozen=True)
class Joint:
    """What shall be joined, from when to when; no end is 'still'."""

    cable: Item | None
    from_item: Item
    from_port: str
    to_item: Item
    to_port: str
    since: datetime
    until: datetime | None = None

    @property
    def items(self) -> list[Item]:
        """The two ends, and the cable if there is one."""
        return [self.from_item, self.to_item, *([self.cable] if self.cable else [])]


def require_possible(session: Session, joint: Joint, but: int | None = None) -> None:
    """Refuse what can't be joined so.

    Args:
        session: The unit of work.
        joint: What shall be joined.
        but: The key of the link that is being changed.

    Raises:
        ConflictError: Something is retired, the cable is elsewhere, or a port is in use; the
            message says by what.
        InvalidError: The cable is none, or an end is joined to itself.
    """
    _require_three_things(joint)
    if joint.cable is not None:
        lookup.require_class(session, joint.cable, CABLE, "cable")
    if joint.until is None:
        _require_in_use(joint)
    for link in _links_meanwhile(session, joint):
        part = _shared(joint, link)
        if part is not None and link.id != but:
            raise ConflictError(f"{part} is in use: {told(session, link)}. Disconnect that first.")


def told(session: Session, link: Link) -> str:
    """Return a link in one line: what joins what, and since when."""
    start, end = (session.get_one(Item, key) for key in (link.from_item_id, link.to_item_id))
    cable = session.get_one(Item, link.cable_id).name if link.cable_id is not None else "a lead"
    until = f" until {link.until:%Y-%m-%d %H:%M} UTC" if link.until else ""
    return (
        f"{cable} joins {start.name} {link.from_port} to {end.name} {link.to_port} since "
        f"{link.since:%Y-%m-%d %H:%M} UTC{until} (link {link.key})"
    )


def _require_three_things(joint: Joint) -> None:
    same_item = joint.from_item.key == joint.to_item.key
    if same_item and joint.from_port.casefold() == joint.to_port.casefold():
        raise InvalidError(
            [Problem("to port", "that joins a port to itself. Name the other end's port.")]
        )
    if joint.cable is not None and joint.cable.key in (joint.from_item.key, joint.to_item.key):
        raise InvalidError(
            [Problem("cable", f"{joint.cable.name} can't be the cable and an end. Look again.")]
        )


def _require_in_use(joint: Joint) -> None:
    for item in joint.items:
        if item.state == ItemState.RETIRED:
            raise ConflictError(f"{item.name} is retired. Make it fit again first.")


def _links_meanwhile(session: Session, joint: Joint) -> Sequence[Link]:
    """Return the links of the same items that were there at some time of the joint's."""
    keys = [item.key for item in joint.items]
    there = or_(
        col(Link.cable_id).in_(keys),
        col(Link.from_item_id).in_(keys),
        col(Link.to_item_id).in_(keys),
    )
    lasted = and_(col(Link.until) > joint.since, col(Link.until) > col(Link.since))
    wanted = select(Link).where(there, or_(col(Link.until).is_(None), lasted))
    if joint.until is not None:
        wanted = wanted.where(col(Link.since) < joint.until)
    return session.scalars(wanted.order_by(col(Link.id))).all()


def _shared(joint: Joint, link: Link) -> str | None:
    """Return what both would use, as one names it."""
    if joint.cable is not None and link.cable_id == joint.cable.key:
        return joint.cable.name
    ends = (
        (joint.from_item, joint.from_port, link.from_item_id, link.from_port),
        (joint.to_item, joint.to_port, link.to_item_id, link.to_port),
    )
    for item, port, key, used in ends:
        if item.key == key and port.casefold() == used.casefold():
            return f"{item.name} {port}"
    return None
