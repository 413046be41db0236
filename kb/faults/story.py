"""What a closed fault tells for the draft of an entry, and the entries that came of it."""

from dataclasses import replace
from datetime import datetime, timedelta

from sqlmodel import Session

from kb.entries import library, overview
from kb.entries.library import EntryLine, EntryPage
from kb.entries.model import Fix, Swap
from kb.errors import ConflictError
from kb.faults import drafting, log, standing, states
from kb.faults.attempts import SWAP
from kb.faults.drafting import Story, Tried
from kb.gear import lookup
from kb.records.kinds import FaultState, Outcome
from kb.records.tables import entries
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item, Model


def draft_of(session: Session, number: int, now: datetime, hold_days: int) -> str:
    """Return a closed fault written down as the draft of an entry.

    Args:
        session: The unit of work.
        number: The fault's number.
        now: The time now.
        hold_days: For how many days a fix must hold.

    Raises:
        ConflictError: It isn't closed yet.
        NotFoundError: There is none of that number.
    """
    fault = log.fault_by(session, number)
    hold = timedelta(days=hold_days)
    mistaken = fault.mistaken_at is not None
    state = states.state_of(fault.restored_at, fault.closed_at, now, hold, mistaken=mistaken)
    if state is not FaultState.CLOSED:
        raise ConflictError(f"Fault {fault.key} is not closed yet. Close it with its cause first.")
    taken = {one.slug for one in library.entry_lines(session)}
    return drafting.draft_text(_story(session, fault), taken)


def written_down(session: Session, number: int) -> tuple[EntryLine, ...]:
    """Return the entries that were written down from a fault.

    Raises:
        NotFoundError: There is none of that number.
    """
    return overview.naming(session, drafting.source_of(log.fault_by(session, number).key))


def told_by(session: Session, number: int) -> tuple[EntryLine, ...]:
    """Return the entry that was followed on a fault, and those that were written down from it.

    Raises:
        NotFoundError: There is none of that number.
    """
    followed = _followed(session, log.fault_by(session, number))
    lines = written_down(session, number)
    return lines if followed is None or followed.line in lines else (followed.line, *lines)


def point_at(session: Session, number: int, slug: str, at: datetime) -> None:
    """Let the entry that was written down from a fault be its entry, where it has none.

    Raises:
        NotFoundError: The fault or the entry is unknown.
    """
    if log.fault_by(session, number).entry_id is None:
        log.correct_fault(session, number, {"entry": slug}, at)


def _followed(session: Session, fault: Fault) -> EntryPage | None:
    row = session.get(entries.Entry, fault.entry_id) if fault.entry_id else None
    return library.entry_page(session, row.slug) if row else None


def _story(session: Session, fault: Fault) -> Story:
    item = session.get(Item, fault.seen_item_id) if fault.seen_item_id else None
    model = lookup.by_key(session, Model, item.model_id) if item and item.model_id else None
    story = Story(
        text=fault.text,
        equipment_class=(model.equipment_class or "") if model else "",
        cause=fault.cause_note or fault.cause_kind or "",
        tried=tuple(_tried(session, one) for one in standing.attempts(session, fault.key)),
        sources=(drafting.source_of(fault.key),),
    )
    followed = _followed(session, fault)
    if followed is None:
        return story
    return replace(
        story,
        area=followed.entry.area,
        first_acts=followed.entry.first_acts,
        sources=(*story.sources, *followed.entry.sources),
    )


def _tried(session: Session, attempt: Attempt) -> Tried:
    told = _told(session, attempt)
    what = attempt.what or (told.title if told else attempt.fix_key) or ""
    seconds = max(1, round(attempt.minutes * 60)) if attempt.minutes else None
    return Tried(what, seconds, attempt.outcome == Outcome.WORKED, told)


def _told(session: Session, attempt: Attempt) -> Fix | Swap | None:
    """Return how its entry tells what was tried; None for free words, or what is told no more."""
    row = session.get(entries.Entry, attempt.entry_id) if attempt.entry_id else None
    if row is None or attempt.fix_key is None:
        return None
    entry = library.entry_page(session, row.slug).entry
    if attempt.fix_key == SWAP:
        return entry.swap
    return next((fix for fix in entry.fixes if fix.key == attempt.fix_key), None)
