"""Close a fault with its cause, name another one, and open it again."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError, InvalidError, Problem
from kb.faults import log
from kb.faults.drafts import NO_ITEM, CauseDraft
from kb.gear import lookup
from kb.records.kinds import CauseKind
from kb.records.tables.faults import STANDS, Fault

# These say that an item did it; without an item they would say nothing.
_NEEDS_ITEM = frozenset({CauseKind.OWN_FAILURE, CauseKind.SETTING_DELIVERED})


def close_fault(
    session: Session,
    number: int,
    values: Mapping[str, Any],
    at: datetime,
    seen: int | None = None,
) -> None:
    """Close a fault: what kind of cause it was, and which item is to blame.

    Args:
        session: The unit of work.
        number: The fault's number.
        values: The fields of `CauseDraft`, as typed.
        at: When; restored then at the latest.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, closed already, or logged by mistake.
        InvalidError: A field is wrong, or the kind needs an item and none is known.
        NotFoundError: The fault or the item is unknown.
    """
    draft = check(CauseDraft, values)
    fault = log.standing_for_change(session, number, seen)
    if fault.closed_at is not None:
        mend = f"To name another cause: kitlore fault blame {fault.key}."
        raise ConflictError(f"Fault {fault.key} is closed already. {mend}")
    _name_cause(session, fault, draft, at)
    fault.closed_at = at
    session.flush()


def correct_cause(
    session: Session, number: int, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Name another cause of a closed fault; since when it works and is closed stays.

    Args:
        session: The unit of work.
        number: The fault's number.
        values: The fields of `CauseDraft`, as typed; the cause is named anew, its words too.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, or it has no cause yet.
        InvalidError: A field is wrong, or the kind needs an item and none is known.
        NotFoundError: The fault or the item is unknown.
    """
    draft = check(CauseDraft, values)
    fault = log.fault_for_change(session, number, seen)
    if fault.closed_at is None:
        raise ConflictError(f"Fault {fault.key} has no cause yet. Close it with its cause.")
    _name_cause(session, fault, draft, fault.closed_at)
    session.flush()


def reopen_fault(session: Session, number: int, at: datetime, seen: int | None = None) -> None:
    """Open a fault again: it is back, so what was tried till now did not hold.

    The cause that was named is taken off; the history keeps it. Where it still works and only
    the cause was another one, `correct_cause` names it.

    Raises:
        ConflictError: Changed since it was seen, open already, or logged by mistake.
        NotFoundError: The fault is unknown.
    """
    fault = log.standing_for_change(session, number, seen)
    if fault.restored_at is None:
        raise ConflictError(f"Fault {fault.key} is open already. Nothing was changed.")
    if at < fault.restored_at:
        raise InvalidError([Problem("at", "that is before it was restored.")])
    fault.restored_at, fault.closed_at, fault.reopened_at = None, None, at
    fault.cause_item_id = fault.cause_kind = fault.cause_note = None
    session.flush()


def likely_kind(session: Session, number: int) -> CauseKind | None:
    """Return the kind of cause that closed faults of the same entry had most often.

    None where none was closed yet, or none was of an entry: then nothing can be proposed.

    Raises:
        NotFoundError: The fault is unknown.
    """
    entry = log.fault_by(session, number).entry_id
    if entry is None:
        return None
    times = func.count()
    found = session.execute(
        select(Fault.cause_kind, times)
        .where(
            Fault.entry_id == entry,
            col(Fault.closed_at).is_not(None),
            col(Fault.cause_kind).is_not(None),
            STANDS,
        )
        .group_by(col(Fault.cause_kind))
        .order_by(times.desc(), col(Fault.cause_kind))
        .limit(1),
    ).first()
    return CauseKind(found[0]) if found and found[0] else None


def _name_cause(session: Session, fault: Fault, draft: CauseDraft, closed: datetime) -> None:
    fault.cause_item_id = _blamed(session, fault, draft)
    fault.cause_kind, fault.cause_note = draft.kind, draft.note
    restored = draft.restored_at or fault.restored_at or closed
    if not fault.noticed_at <= restored <= closed:
        told = "it must lie between the report and the closing. Give another time."
        raise InvalidError([Problem("restored at", told)])
    if fault.reopened_at and restored < fault.reopened_at:
        fault.reopened_at = None  # it was well all the time: opened again by a slip
    fault.restored_at = restored
    if draft.minutes_lost is not None:
        fault.minutes_lost = draft.minutes_lost


def _blamed(session: Session, fault: Fault, draft: CauseDraft) -> int | None:
    if draft.item is not None and draft.item.casefold() != NO_ITEM:
        return lookup.item(session, draft.item).key
    blamed = None if draft.item is not None else fault.seen_item_id
    if blamed is None and draft.kind in _NEEDS_ITEM:
        raise InvalidError([Problem("item", f"'{draft.kind.value}' needs the item to blame.")])
    return blamed
