"""Log a fault, correct a slip in it, say that two reports are one."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.crew import people
from kb.entries import library
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.faults.drafts import FaultDraft
from kb.gear import lookup, shows
from kb.records import journal, merging
from kb.records.kinds import EntryStatus
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model, Placement
from kb.records.unit import writer


def log_fault(session: Session, values: Mapping[str, Any], at: datetime) -> int:
    """Keep what somebody reports, and return the fault's number.

    The same `client_key` a second time returns the number of the first: a retry is harmless.

    Args:
        session: The unit of work.
        values: The fields of `FaultDraft`; an item or a place at least.
        at: When it's logged; noticed then unless said otherwise.

    Raises:
        InvalidError: A field is wrong, or neither item nor place is given.
        NotFoundError: The item, place, entry or reporter is unknown.
    """
    draft = check(FaultDraft, values)
    again = _known_report(session, draft.client_key)
    if again is not None:
        return again
    fault = Fault(
        text=draft.text, noticed_at=draft.noticed_at or at, reporter=_reporter(session, draft)
    )
    _require_past(fault.noticed_at, at)
    fault.client_key = draft.client_key
    _fill(session, fault, draft)
    session.add(fault)
    session.flush()
    return fault.key


def correct_fault(
    session: Session, number: int, values: Mapping[str, Any], at: datetime, seen: int | None = None
) -> None:
    """Mend a slip in a report: the wrong item scanned, a word left out; what was stays known.

    Args:
        session: The unit of work.
        number: The fault's number.
        values: The fields of `FaultDraft` to change.
        at: When.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen.
        InvalidError: A field is wrong.
        NotFoundError: The fault, item, place, entry or reporter is unknown.
    """
    fault = fault_for_change(session, number, seen)
    given = dict(values)
    if "item" in given and "place" not in given:
        given["place"] = None  # where the right item lay, not where the wrong one did
    draft = check(FaultDraft, {**_as_typed(session, fault), **given})
    fault.text = draft.text
    if draft.noticed_at is not None:
        _require_past(draft.noticed_at, at)
        fault.noticed_at = draft.noticed_at
    fault.reporter = _reporter(session, draft)
    _fill(session, fault, draft)
    session.flush()


def merge_fault(session: Session, number: int, into: int) -> None:
    """Say that two reports are one fault: the attempts of the first move to the second.

    Raises:
        ConflictError: Both are one already.
        NotFoundError: One of them is unknown.
    """
    kept = fault_by(session, into)
    gone = fault_for_change(session, number)
    if kept.key == gone.key:
        raise ConflictError(f"Faults {number} and {into} are one already.")
    kept.noticed_at = min(kept.noticed_at, gone.noticed_at)
    kept.entry_id = kept.entry_id or gone.entry_id
    merging.repoint(session, Fault, gone.key, kept.key)
    gone.merged_into_id = kept.key
    session.flush()


def fault_by(session: Session, number: int) -> Fault:
    """Return the fault of that number, or the one it was merged into.

    Raises:
        NotFoundError: There is none.
    """
    fault = session.get(Fault, number)
    while fault is not None and fault.merged_into_id is not None:
        fault = session.get(Fault, fault.merged_into_id)
    if fault is None:
        raise NotFoundError("fault", str(number), "See 'kitlore fault list'.")
    return fault


def fault_for_change(session: Session, number: int, seen: int | None = None) -> Fault:
    """Return the fault of that number, locked for this unit of work.

    Raises:
        ConflictError: Changed since it was seen.
        NotFoundError: There is none.
    """
    return journal.for_change(session, Fault, fault_by(session, number).key, seen)


def _fill(session: Session, fault: Fault, draft: FaultDraft) -> None:
    item = lookup.item(session, draft.item) if draft.item else None
    fault.seen_item_id = item.key if item else None
    if draft.place:
        fault.seen_place_id = lookup.place(session, draft.place).key
    elif item:
        fault.seen_place_id = _lay_at(session, item, fault.noticed_at)
    else:
        raise InvalidError([Problem("item", "name the item, or the place where it was seen.")])
    if draft.end and not (item and _is_cable(session, item)):
        raise InvalidError([Problem("end", "only a cable has ends. Leave it out.")])
    fault.cable_end, fault.effect, fault.minutes_lost = draft.end, draft.effect, draft.minutes_lost
    show = shows.show_at(session, fault.noticed_at)
    fault.show_id = show.number if show else None
    fault.entry_id = _entry_key(session, draft.entry) if draft.entry else None


def _as_typed(session: Session, fault: Fault) -> dict[str, Any]:
    item = session.get(Item, fault.seen_item_id) if fault.seen_item_id else None
    entry = session.get(Entry, fault.entry_id) if fault.entry_id else None
    return {
        "text": fault.text,
        "item": item.code if item else None,
        "place": lookup.Tree(session).path(fault.seen_place_id) or None,
        "end": fault.cable_end,
        "effect": fault.effect,
        "minutes_lost": fault.minutes_lost,
        "entry": entry.slug if entry else None,
        "reporter": fault.reporter,
    }


def _known_report(session: Session, key: str | None) -> int | None:
    if key is None:
        return None
    found = session.scalars(select(Fault).where(Fault.client_key == key)).first()
    return fault_by(session, found.key).key if found else None


def _reporter(session: Session, draft: FaultDraft) -> str:
    """Return who reports: somebody known, or who writes."""
    me = writer(session).who
    if draft.reporter is None or draft.reporter == me:
        return me
    return people.person_by(session, draft.reporter).name


def _require_past(noticed: datetime, at: datetime) -> None:
    if noticed > at:
        raise InvalidError([Problem("noticed at", "that is in the future. Give a time till now.")])


def _lay_at(session: Session, item: Item, when: datetime) -> int | None:
    """Return where an item lay at a time; where it was first put, for a time before that."""
    query = select(Placement).where(Placement.item_id == item.key)
    before = query.where(col(Placement.since) <= when).order_by(
        col(Placement.since).desc(), col(Placement.id).desc()
    )
    found = (
        session.scalars(before).first()
        or session.scalars(
            query.order_by(col(Placement.since), col(Placement.id)),
        ).first()
    )
    return found.place_id if found else item.place_id


def _is_cable(session: Session, item: Item) -> bool:
    model = session.get(Model, item.model_id) if item.model_id else None
    return model is not None and model.equipment_class == "cable"


def _entry_key(session: Session, slug: str) -> int:
    row = library.entry_by(session, slug)
    if row.status == EntryStatus.WITHDRAWN:
        raise ConflictError(f"The entry '{slug}' was withdrawn. Name another.")
    return row.key
