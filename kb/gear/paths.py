"""What is joined, now or at a time, and what hangs on an item up and down the signal path."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, true
from sqlalchemy.orm import aliased
from sqlmodel import Session, and_, col, or_, select

from kb.errors import NotFoundError
from kb.gear import lookup
from kb.records.tables.base import is_key
from kb.records.tables.gear import Item
from kb.records.tables.use import Link


@dataclass(frozen=True)
class LinkLine:
    """A link: signal runs from the first port to the second.

    Attributes:
        number: The link's number.
        version: The version that is shown.
        cable: The cable's name; None for a lead without a label.
        cable_code: Its code.
        from_item: The name of the item that signal comes from.
        from_code: Its code.
        from_port: The port there.
        to_item: The name of the item that signal goes to.
        to_code: Its code.
        to_port: The port there.
        since: From when.
        until: Until when; None is 'still'.
    """

    number: int
    version: int
    cable: str | None
    cable_code: str | None
    from_item: str
    from_code: str
    from_port: str
    to_item: str
    to_code: str
    to_port: str
    since: datetime
    until: datetime | None


@dataclass(frozen=True)
class PathLine:
    """A link on a signal path.

    Attributes:
        depth: How many links away: 1 for those on the item itself.
        link: The link.
    """

    depth: int
    link: LinkLine


def links_of(session: Session, typed: str, at: datetime | None = None) -> tuple[LinkLine, ...]:
    """Return the links that an item is the cable or an end of.

    Args:
        session: The unit of work.
        typed: Its code or name.
        at: Those joined at that time; those joined still where it's left out.

    Raises:
        NotFoundError: The item is unknown.
    """
    return link_lines(session, at, item=typed)


def link_lines(
    session: Session,
    at: datetime | None = None,
    *,
    item: str | None = None,
    limit: int | None = None,
    offset: int = 0,
) -> tuple[LinkLine, ...]:
    """Return what is joined, by the item that signal comes from.

    Args:
        session: The unit of work.
        at: What was joined at that time; what is joined still where it's left out.
        item: Only the links that the item of this code or name is the cable or an end of.
        limit: How many at most; all where it's left out.
        offset: How many to leave out first.

    Raises:
        NotFoundError: The item is unknown.
    """
    condition = true() if item is None else _naming([lookup.item(session, item).key])
    found = _lines(session, condition, at, limit, offset)
    return tuple(line for _link, line in found)


def link_by(session: Session, number: int) -> LinkLine:
    """Return a link, ended or not, by its number.

    Raises:
        NotFoundError: There is none.
    """
    link = session.get(Link, number) if is_key(number) else None
    if link is None:
        raise NotFoundError("link", str(number), "See 'kitlore link list CODE'.")
    names = (session.get(Item, link.cable_id) if link.cable_id else None,)
    ends = (session.get_one(Item, link.from_item_id), session.get_one(Item, link.to_item_id))
    return _line(link, *names, *ends)


def path_up(session: Session, typed: str, at: datetime | None = None) -> tuple[PathLine, ...]:
    """Return what feeds an item, the nearest first; each link once, also where it's a ring.

    Args:
        session: The unit of work.
        typed: Its code or name; a cable begins with what it joins.
        at: As it was joined at that time; as it is where it's left out.

    Raises:
        NotFoundError: The item is unknown.
    """
    return _path(session, typed, at, down=False)


def path_down(session: Session, typed: str, at: datetime | None = None) -> tuple[PathLine, ...]:
    """Return what an item feeds, the nearest first; each link once, also where it's a ring.

    Args:
        session: The unit of work.
        typed: Its code or name; a cable begins with what it joins.
        at: As it was joined at that time; as it is where it's left out.

    Raises:
        NotFoundError: The item is unknown.
    """
    return _path(session, typed, at, down=True)


def during(at: datetime | None) -> ColumnElement[bool]:
    """Return the condition that a link was there at a time, or is there still."""
    if at is None:
        return col(Link.until).is_(None)
    return and_(col(Link.since) <= at, or_(col(Link.until).is_(None), col(Link.until) > at))


def _naming(keys: Iterable[int]) -> ColumnElement[bool]:
    listed = list(keys)
    return or_(
        col(Link.cable_id).in_(listed),
        col(Link.from_item_id).in_(listed),
        col(Link.to_item_id).in_(listed),
    )


def _path(
    session: Session, typed: str, at: datetime | None, *, down: bool
) -> tuple[PathLine, ...]:
    """Walk level by level: one query for all that is the same number of links away."""
    near, far = ("from_item_id", "to_item_id") if down else ("to_item_id", "from_item_id")
    nearest: ColumnElement[int] = getattr(Link, near)
    start = lookup.item(session, typed).key
    condition = or_(nearest == start, col(Link.cable_id) == start)
    found: list[PathLine] = []
    links, items, depth = set[int](), {start}, 1
    while rows := [row for row in _lines(session, condition, at) if row[0].key not in links]:
        links |= {link.key for link, _line in rows}
        found += [PathLine(depth, line) for _link, line in rows]
        reached = {getattr(link, far) for link, _line in rows} - items
        items |= reached
        condition, depth = nearest.in_(reached), depth + 1
    return tuple(found)


def _lines(
    session: Session,
    condition: ColumnElement[bool],
    at: datetime | None,
    limit: int | None = None,
    offset: int = 0,
) -> list[tuple[Link, LinkLine]]:
    """Return the links and how they are shown, in the order of the ports' items."""
    cable, start, end = aliased(Item), aliased(Item), aliased(Item)
    rows = session.execute(
        select(Link, cable, start, end)
        .outerjoin(cable, col(Link.cable_id) == cable.id)
        .join(start, col(Link.from_item_id) == start.id)
        .join(end, col(Link.to_item_id) == end.id)
        .where(condition, during(at))
        .order_by(start.name_order, Link.from_port, col(Link.id))
        .limit(limit)
        .offset(offset),
    )
    return [(row[0], _line(*row)) for row in rows]


def _line(link: Link, cable: Item | None, start: Item, end: Item) -> LinkLine:
    return LinkLine(
        number=link.key,
        version=link.version,
        cable=cable.name if cable else None,
        cable_code=cable.code if cable else None,
        from_item=start.name,
        from_code=start.code,
        from_port=link.from_port,
        to_item=end.name,
        to_code=end.code,
        to_port=link.to_port,
        since=link.since,
        until=link.until,
    )
