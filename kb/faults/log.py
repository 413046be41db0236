"""Log a fault, correct a slip in it, say that two reports are one."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.crew import people
from kb.entries import library
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.faults import standing
from kb.faults.drafts import FaultDraft
from kb.gear import lookup, shows
from kb.records import journal, merging
from kb.records.kinds import EntryStatus
from kb.records.tables.base import is_key
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model, Placement
from kb.records.unit import writer

# What one report may know and the other not; and what is found at closing.
_SAID = ("entry_id", "seen_item_id", "seen_place_id", "minutes_lost", "show_id")
_FOUND = ("restored_at", "closed_at", "cause_kind", "cause_item_id", "cause_note")


def log_fault(session: Session, values: Mapping[str, Any], at: datetime) -> int:
    """Keep what somebody reports, and return the fault's number.

    The same `client_key` with the same words a second time returns the number of the first: a
    retry is harmless. Other words are another report, whatever key they come with.

    Args:
        session: The unit of work.
        values: The fields of `FaultDraft`; an item or a place at least.
        at: When it's logged; noticed then unless said otherwise.

    Raises:
        InvalidError: A field is wrong, or neither item nor place is given.
        NotFoundError: The item, place, entry or reporter is unknown.
    """
    draft = check(FaultDraft, values)
    known = _known_report(session, draft.client_key)
    if known is not None and _first_words(session, known) == draft.text:
        return fault_by(session, known).key
    fault = Fault(
        text=draft.text, noticed_at=draft.noticed_at or at, reporter=_reporter(session, draft)
    )
    _require_past(fault.noticed_at, at)
    fault.client_key = draft.client_key if known is None else None
    _fill(session, fault, draft)
    session.add(fault)
    session.flush()
    return fault.key


def correct_fault(
    session: Session, number: int, values: Mapping[str, Any], at: datetime, seen: int | None = None
) -> None:
    """Mend a slip in a report: the wrong item scanned, a word left out; what was stays known.

    Fields that are not given stay as they are, whatever became of what they name. With the item
    go the place where it lay, and the blame where the wrong item had it.

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
    draft = check(FaultDraft, {"text": fault.text, **values})
    with session.no_autoflush:  # one change, one step in the journal
        _correct(session, fault, draft, at)
    session.flush()


def merge_fault(session: Session, number: int, into: int) -> None:
    """Say that two reports are one fault: the attempts of the first move to the second.

    The second keeps what it says; what only the first says is taken over, its cause too unless
    that was found before the second was noticed.

    Raises:
        ConflictError: Both are one already, or one was logged by mistake.
        NotFoundError: One of them is unknown.
    """
    kept = standing_for_change(session, into)
    gone = standing_for_change(session, number)
    if kept.key == gone.key:
        raise ConflictError(f"Faults {number} and {into} are one already.")
    before = standing.verdict(session, kept.key)
    _take_over(kept, gone)
    kept.noticed_at = min(kept.noticed_at, gone.noticed_at)
    merging.repoint(session, Fault, gone.key, kept.key)
    gone.merged_into_id = kept.key
    standing.restate(session, kept, before)


def fault_by(session: Session, number: int) -> Fault:
    """Return the fault of that number, or the one it was merged into.

    Raises:
        NotFoundError: There is none.
    """
    fault = session.get(Fault, number) if is_key(number) else None
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


def standing_for_change(session: Session, number: int, seen: int | None = None) -> Fault:
    """Return the fault of that number, locked, unless it was logged by mistake.

    Raises:
        ConflictError: Changed since it was seen, or logged by mistake.
        NotFoundError: There is none.
    """
    fault = fault_for_change(session, number, seen)
    if fault.mistaken_at is not None:
        raise ConflictError(f"Fault {fault.key} was logged by mistake. Bring it back first.")
    return fault


def _fill(session: Session, fault: Fault, draft: FaultDraft) -> None:
    item = lookup.item(session, draft.item) if draft.item else None
    fault.seen_item_id = item.key if item else None
    fault.seen_place_id = _place_key(session, fault, draft.place)
    fault.cable_end = _end(session, fault, draft)
    fault.effect, fault.minutes_lost = draft.effect, draft.minutes_lost
    fault.show_id = _show_key(session, fault)
    fault.entry_id = _entry_key(session, draft.entry)


def _correct(session: Session, fault: Fault, draft: FaultDraft, at: datetime) -> None:
    given = draft.model_fields_set
    lay_there = fault.seen_place_id == _lay_at(session, fault.seen_item_id, fault.noticed_at)
    if draft.noticed_at is not None:
        _move_in_time(session, fault, draft.noticed_at, at)
    if "item" in given:
        _move_to_item(session, fault, draft.item)
    if "place" in given or "item" in given or lay_there:
        fault.seen_place_id = _place_key(session, fault, draft.place)
    if "end" in given:
        fault.cable_end = _end(session, fault, draft)
    if "reporter" in given:
        fault.reporter = _reporter(session, draft)
    if "entry" in given:
        fault.entry_id = _entry_key(session, draft.entry)
    for name in ("text", *(given & {"effect", "minutes_lost"})):
        setattr(fault, name, getattr(draft, name))


def _move_to_item(session: Session, fault: Fault, typed: str | None) -> None:
    item = lookup.item(session, typed) if typed else None
    if item is not None and fault.cause_item_id and fault.cause_item_id == fault.seen_item_id:
        fault.cause_item_id = item.key
    fault.seen_item_id = item.key if item else None
    if not _is_cable(session, fault.seen_item_id):
        fault.cable_end = None


def _move_in_time(session: Session, fault: Fault, noticed: datetime, at: datetime) -> None:
    _require_past(noticed, at)
    told = (fault.restored_at, fault.reopened_at)
    later = [*told, *(made.at for made in standing.attempts(session, fault.key))]
    if any(one is not None and one < noticed for one in later):
        raise InvalidError(
            [Problem("noticed at", "something was tried, or it was well again, before that.")]
        )
    fault.noticed_at = noticed
    fault.show_id = _show_key(session, fault)


def _take_over(kept: Fault, gone: Fault) -> None:
    """Let one report know what only the other one says."""
    found = gone.closed_at is not None and kept.closed_at is None
    if found and gone.restored_at and gone.restored_at >= kept.noticed_at:
        for name in _FOUND:
            setattr(kept, name, getattr(gone, name))
    back = [one for one in (kept.reopened_at, gone.reopened_at) if one]
    kept.reopened_at = max(back, default=None)
    if kept.seen_item_id is None:
        kept.cable_end = gone.cable_end
    for name in _SAID:
        if getattr(kept, name) is None:
            setattr(kept, name, getattr(gone, name))


def _known_report(session: Session, key: str | None) -> int | None:
    if key is None:
        return None
    return session.scalars(select(Fault.id).where(Fault.client_key == key)).first()


def _first_words(session: Session, number: int) -> object:
    """Return what was reported at first, whatever was mended since."""
    return journal.steps(session, "fault", number)[0].changes["text"][1]


def _reporter(session: Session, draft: FaultDraft) -> str:
    """Return who reports: somebody known, or who writes."""
    me = writer(session).who
    if draft.reporter is None or draft.reporter == me:
        return me
    return people.person_by(session, draft.reporter).name


def _require_past(noticed: datetime, at: datetime) -> None:
    if noticed > at:
        raise InvalidError([Problem("noticed at", "that is in the future. Give a time till now.")])


def _show_key(session: Session, fault: Fault) -> int | None:
    show = None
    if fault.seen_place_id is not None:
        there = shows.around(session, fault.seen_place_id)
        show = shows.show_at(session, fault.noticed_at, there)
    show = show or shows.show_at(session, fault.noticed_at)
    return show.number if show else None


def _place_key(session: Session, fault: Fault, typed: str | None) -> int | None:
    """Return the place that was typed, else where the fault's item lay when it was noticed."""
    if typed:
        return lookup.place(session, typed).key
    if fault.seen_item_id is None:
        raise InvalidError([Problem("item", "name the item, or the place where it was seen.")])
    return _lay_at(session, fault.seen_item_id, fault.noticed_at)


def _lay_at(session: Session, item: int | None, when: datetime) -> int | None:
    """Return where an item lay at a time; where it was first put, for a time before that."""
    query = select(Placement.place_id).where(Placement.item_id == item).limit(1)
    last = query.where(col(Placement.since) <= when).order_by(
        col(Placement.since).desc(), col(Placement.id).desc()
    )
    first = query.order_by(col(Placement.since), col(Placement.id))
    found = session.execute(last).first() or session.execute(first).first()
    return found[0] if found else None


def _end(session: Session, fault: Fault, draft: FaultDraft) -> str | None:
    if draft.end and not _is_cable(session, fault.seen_item_id):
        raise InvalidError([Problem("end", "only a cable has ends. Leave it out.")])
    return draft.end


def _is_cable(session: Session, item: int | None) -> bool:
    query = select(Model.equipment_class).join(Item, col(Item.model_id) == Model.id)
    return session.scalars(query.where(Item.id == item)).first() == "cable"


def _entry_key(session: Session, slug: str | None) -> int | None:
    if slug is None:
        return None
    row = library.entry_by(session, slug)
    if row.status == EntryStatus.WITHDRAWN:
        raise ConflictError(f"The entry '{slug}' was withdrawn. Name another.")
    return row.key
