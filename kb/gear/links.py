"""Links: joined, ended, a lead swapped for another, a slip mended."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from pydantic import ValidationInfo, field_validator
from sqlmodel import Session, col, select

from kb.checking import Draft, Line, Moment, OptionalLine, OptionalMoment, check
from kb.errors import ConflictError, NotFoundError
from kb.gear import lookup, ports
from kb.gear.ports import Joint
from kb.records import journal
from kb.records.tables.gear import Item
from kb.records.tables.use import Link

_NUMBERED = re.compile(r"(?:link\s*#?|#)\s*([0-9]{1,9})$", re.IGNORECASE)


class LinkDraft(Draft):
    """What joins what: signal runs from the first port to the second.

    Without a cable it's a lead that has no label.
    """

    cable: OptionalLine = None
    from_item: Line
    from_port: Line
    to_item: Line
    to_port: Line


class LinkSlipDraft(LinkDraft):
    """What may be mended in a link: its times too."""

    since: Moment
    until: OptionalMoment = None

    @field_validator("until")
    @classmethod
    def _after_since(cls, value: datetime | None, info: ValidationInfo) -> datetime | None:
        since = info.data.get("since")
        if value is not None and since is not None and value < since:
            msg = "it's before the start. Give a later time."
            raise ValueError(msg)
        return value


def connect(session: Session, values: Mapping[str, Any], at: datetime) -> int:
    """Join two ports, and return the link's number.

    Args:
        session: The unit of work.
        values: The fields of `LinkDraft`, as typed.
        at: From when they are joined.

    Raises:
        ConflictError: Something is retired, the cable is elsewhere, or a port is in use; the
            message says by what.
        InvalidError: A field is wrong, or the cable is none.
        NotFoundError: An item is unknown.
    """
    draft = check(LinkDraft, values)
    return _join(session, _joint(session, draft, at)).key


def disconnect(session: Session, cable_or_link: str, at: datetime, seen: int | None = None) -> int:
    """End a link, and return its number; what was joined until then stays known.

    Args:
        session: The unit of work.
        cable_or_link: The cable's code or name, or 'link 7'.
        at: Until when they were joined; the time of its start if they never were.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, ended already, or begun later than `at`.
        NotFoundError: There is no such link, or the cable joins nothing.
    """
    link = _open_link(session, cable_or_link, seen)
    _end(link, at)
    session.flush()
    return link.key


def replace_cable(
    session: Session, old: str, new: str, at: datetime, seen: int | None = None
) -> int:
    """Swap one lead for another between the same ports, and return the new link's number.

    Args:
        session: The unit of work.
        old: The code or name of the cable that goes, or 'link 7'.
        new: The code or name of the cable that comes.
        at: When.
        seen: The version of the old link that was looked at.

    Raises:
        ConflictError: Changed since it was seen, the old one begun later than `at`, or the new
            cable is retired or elsewhere.
        InvalidError: The new one is no cable.
        NotFoundError: One of them is unknown, or the old one joins nothing.
    """
    link = _open_link(session, old, seen)
    _end(link, at)
    session.flush()
    start, end = (session.get_one(Item, key) for key in (link.from_item_id, link.to_item_id))
    cable = lookup.item(session, new)
    joint = Joint(cable, start, link.from_port, end, link.to_port, at)
    return _join(session, joint).key


def change_link(
    session: Session, number: int, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Mend a slip in a link: the wrong cable scanned, the wrong port or time; the rest stays.

    Args:
        session: The unit of work.
        number: The link's number.
        values: The fields of `LinkSlipDraft` to change; an empty text empties a field.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, or what it would use was in use meanwhile.
        InvalidError: A field is wrong, or the cable is none.
        NotFoundError: There is no such link or item.
    """
    link = journal.for_change(session, Link, number, seen)
    draft = check(LinkSlipDraft, {**ends_of(session, link), **_times(link), **values})
    joint = _joint(session, draft, draft.since, draft.until)
    _lock(session, joint)
    ports.require_possible(session, joint, but=link.key)
    for name, value in _columns(joint).items():
        setattr(link, name, value)
    session.flush()


def _join(session: Session, joint: Joint) -> Link:
    _lock(session, joint)
    ports.require_possible(session, joint)
    link = Link(**_columns(joint))
    session.add(link)
    session.flush()
    return link


def _lock(session: Session, joint: Joint) -> None:
    """Let one writer at a time join these; in one order, so that two never wait for each other."""
    for key in sorted({item.key for item in joint.items}):
        journal.for_change(session, Item, key)


def _joint(
    session: Session, draft: LinkDraft, since: datetime, until: datetime | None = None
) -> Joint:
    return Joint(
        cable=lookup.item(session, draft.cable) if draft.cable else None,
        from_item=lookup.item(session, draft.from_item),
        from_port=draft.from_port,
        to_item=lookup.item(session, draft.to_item),
        to_port=draft.to_port,
        since=since,
        until=until,
    )


def _columns(joint: Joint) -> dict[str, Any]:
    return {
        "cable_id": joint.cable.key if joint.cable else None,
        "from_item_id": joint.from_item.key,
        "from_port": joint.from_port,
        "to_item_id": joint.to_item.key,
        "to_port": joint.to_port,
        "since": joint.since,
        "until": joint.until,
    }


def ends_of(session: Session, link: Link) -> dict[str, Any]:
    """Return what a link joins in the form of its draft, items by their codes."""
    keys = {"cable": link.cable_id, "from_item": link.from_item_id, "to_item": link.to_item_id}
    return {
        **{
            name: session.get_one(Item, key).code if key is not None else None
            for name, key in keys.items()
        },
        **{name: getattr(link, name) for name in ("from_port", "to_port")},
    }


def _times(link: Link) -> dict[str, datetime | None]:
    return {"since": link.since, "until": link.until}


def _open_link(session: Session, typed: str, seen: int | None) -> Link:
    """Return the open link of that number or cable, locked.

    Raises:
        ConflictError: Changed since it was seen, or ended already.
        NotFoundError: There is none.
    """
    numbered = _NUMBERED.match(typed.strip())
    key = int(numbered[1]) if numbered else _key_by_cable(session, typed)
    link = journal.for_change(session, Link, key, seen)
    if link.until is not None:
        raise ConflictError(
            f"Link {key} ended already, at {link.until:%Y-%m-%d %H:%M} UTC. Nothing was changed."
        )
    return link


def _key_by_cable(session: Session, typed: str) -> int:
    cable = lookup.item(session, typed)
    link = session.scalars(
        select(Link).where(Link.cable_id == cable.key, col(Link.until).is_(None)),
    ).first()
    if link is None:
        raise NotFoundError(
            "link by the cable", cable.name, "It joins nothing now. Name a cable that does."
        )
    return link.key


def _end(link: Link, at: datetime) -> None:
    if at < link.since:
        raise ConflictError(
            f"Link {link.key} began later, at {link.since:%Y-%m-%d %H:%M} UTC. Give that time or "
            "a later one."
        )
    link.until = at
