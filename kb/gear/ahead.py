"""Labels printed ahead: codes reserved in a block, given to a thing when the label is stuck on it.

A code of the right form that this base never drew may have been printed before an old backup was
brought back, so it's taken, too.
"""

import secrets
from datetime import datetime
from random import Random
from typing import Any

from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.sql.dml import ReturningInsert
from sqlmodel import Session, col, select

from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.gear import codes, lookup
from kb.records import journal
from kb.records.kinds import ItemState
from kb.records.tables.gear import Code, Item, Place
from kb.records.unit import is_postgresql

MOST = 5000
_DRAWS = 100  # for each code, before something is wrong with the chance


def reserve(
    session: Session, count: int, at: datetime, source: Random | None = None
) -> tuple[str, ...]:
    """Draw codes that were never drawn before, and keep them for labels printed ahead.

    Two that reserve at once never get the same one: a code that the other has just written is
    passed over.

    Args:
        session: The unit of work.
        count: How many.
        at: When.
        source: Where the chance comes from; the system's by default.

    Raises:
        ConflictError: Nearly all codes are in use.
        InvalidError: The count is out of range.
    """
    if not 1 <= count <= MOST:
        raise InvalidError([Problem("new", f"give a number from 1 to {MOST}.")])
    chance = source or secrets.SystemRandom()
    drawn: list[str] = []
    for _ in range(count * _DRAWS):
        code = codes.make(chance)
        drawn += session.scalars(_keep(session, code, at))
        if len(drawn) == count:
            return tuple(drawn)
    raise ConflictError("Nearly every code drawn was in use. Tell who keeps this base.")


def unused(session: Session) -> tuple[str, ...]:
    """Return the codes reserved for labels and not on a thing yet, in the order drawn."""
    found = session.scalars(
        select(Code.code)
        .where(col(Code.item_id).is_(None), col(Code.place_id).is_(None))
        .order_by(col(Code.drawn_at), col(Code.code)),
    )
    return tuple(found)


def is_free(session: Session, typed: str) -> bool:
    """Tell whether this is a code that is on no thing yet, reserved here or not."""
    try:
        row = session.get(Code, codes.read(typed))
    except InvalidError:
        return False
    return row is None or (row.item_id is None and row.place_id is None)


def reserved(session: Session, typed: str) -> bool:
    """Tell whether this base drew the code."""
    return session.get(Code, codes.read(typed)) is not None


def take(session: Session, typed: str, at: datetime) -> Code:
    """Return the row of a code that is free, to be given to a thing.

    Raises:
        ConflictError: It's on a thing already.
        InvalidError: It's no code.
    """
    code = codes.read(typed)
    row = session.get(Code, code, with_for_update=is_postgresql(session))
    if row is None:
        row = Code(code=code, drawn_at=at)
        session.add(row)
        session.flush()
    if row.item_id is not None or row.place_id is not None:
        raise ConflictError(
            f"{codes.shown(code)} is on {_bearer(session, row)} already. Take another label."
        )
    return row


def relabel(
    session: Session, typed: str, code: str, at: datetime, seen: int | None = None
) -> None:
    """Give an item another label; the code it had still leads to it.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        code: The one on the new label, free as yet.
        at: When.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, retired, or the new code is on a thing already.
        InvalidError: That's no code.
        NotFoundError: The item is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    if item.state == ItemState.RETIRED:
        raise ConflictError(f"{item.name} is retired. Bring it back into use first.")
    row = take(session, code, at)
    row.item_id, item.code = item.key, row.code
    session.flush()


def relabel_place(
    session: Session, typed: str, code: str, at: datetime, seen: int | None = None
) -> None:
    """Give a place another label; the code it had still leads to it.

    Args:
        session: The unit of work.
        typed: The place's code, name or path.
        code: The one on the new label, free as yet.
        at: When.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, or the new code is on a thing already; several
            places have that name.
        InvalidError: That's no code.
        NotFoundError: No place in use has that name.
    """
    place = journal.for_change(session, Place, lookup.place(session, typed).key, seen)
    row = take(session, code, at)
    row.place_id, place.new_code = place.key, row.code
    session.flush()


def relabel_known(session: Session, typed: str, code: str, at: datetime) -> None:
    """Give the item, or the place, of that name or code another label.

    Raises:
        ConflictError: It's retired, or the new code is on a thing already; several places have
            that name.
        InvalidError: That's no code.
        NotFoundError: Neither an item nor a place is known by that.
    """
    act = relabel_place if _names_a_place(session, typed) else relabel
    act(session, typed, code, at)


def _names_a_place(session: Session, typed: str) -> bool:
    """Tell whether it's what a place, and no item, is known by."""
    for find, found in ((lookup.item, False), (lookup.place, True)):
        try:
            find(session, typed)
        except (InvalidError, NotFoundError):
            continue
        return found
    return False


def _keep(session: Session, code: str, at: datetime) -> ReturningInsert[tuple[str]]:
    """Return what writes a code down and gives it back; nothing where it's there already."""
    dialect: Any = postgresql if is_postgresql(session) else sqlite
    written = dialect.insert(Code).values(code=code, drawn_at=at).on_conflict_do_nothing()
    made: ReturningInsert[tuple[str]] = written.returning(col(Code.code))
    return made


def _bearer(session: Session, row: Code) -> str:
    if row.item_id is not None:
        return lookup.by_key(session, Item, row.item_id).name
    return f"the place {lookup.by_key(session, Place, row.place_id or 0).name}"
