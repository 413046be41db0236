"""Record that a fix was tried on a fault, and mend a slip in that."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlmodel import Session

from kb.checking import check
from kb.crew import people
from kb.entries import library
from kb.entries.model import Entry
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.faults import log, standing
from kb.faults.drafts import AttemptDraft, StrikeDraft
from kb.records import journal
from kb.records.kinds import Outcome
from kb.records.tables import entries as kept
from kb.records.tables.base import is_key
from kb.records.tables.faults import Attempt, Fault
from kb.records.unit import writer

SWAP = "swap"


def record_attempt(session: Session, number: int, values: Mapping[str, Any], at: datetime) -> int:
    """Keep that a fix was tried and how it ended, and return the attempt's number.

    One that worked restores the fault; it's watched from then on. The fault takes the entry of
    the first fix tried, if it has none.

    Args:
        session: The unit of work.
        number: The fault's number.
        values: The fields of `AttemptDraft`; a fix of an entry, or what was done in words.
        at: When.

    Raises:
        ConflictError: The fault is closed, or was logged by mistake.
        InvalidError: A field is wrong, or the entry has no such fix.
        NotFoundError: The fault or the entry is unknown.
    """
    draft = check(AttemptDraft, values)
    fault = log.standing_for_change(session, number)
    if fault.closed_at is not None:
        raise ConflictError(f"Fault {fault.key} is closed. Reopen it first.")
    if at < fault.noticed_at:
        raise InvalidError([Problem("at", "that is before the fault was noticed.")])
    attempt = Attempt(
        fault_id=fault.key,
        outcome=draft.outcome,
        minutes=draft.minutes,
        what=draft.what,
        at=at,
        by=people.person_by(session, draft.by).name if draft.by else writer(session).who,
    )
    _name_fix(session, attempt, fault, draft)
    before = standing.verdict(session, fault.key)
    session.add(attempt)
    standing.restate(session, fault, before)
    return attempt.key


def correct_attempt(
    session: Session, attempt_number: int, outcome: Outcome, seen: int | None = None
) -> None:
    """Say that an attempt ended the other way: the wrong button was pressed.

    Raises:
        ConflictError: Changed since it was seen, struck out, or it says so already.
        NotFoundError: There is no such attempt.
    """
    attempt = _for_change(session, attempt_number, seen)
    if attempt.outcome == outcome:
        raise ConflictError(f"Attempt {attempt_number} says '{outcome.value}' already.")
    fault = log.fault_for_change(session, attempt.fault_id)
    before = standing.verdict(session, fault.key)
    attempt.outcome = outcome
    standing.restate(session, fault, before)


def strike_attempt(
    session: Session, attempt_number: int, reason: str, at: datetime, seen: int | None = None
) -> None:
    """Strike an attempt out: it was never made. It stays readable and counts nowhere.

    Raises:
        ConflictError: Changed since it was seen, or struck out already.
        InvalidError: The reason is missing, or no line of text.
        NotFoundError: There is no such attempt.
    """
    draft = check(StrikeDraft, {"reason": reason})
    attempt = _for_change(session, attempt_number, seen)
    fault = log.fault_for_change(session, attempt.fault_id)
    before = standing.verdict(session, fault.key)
    attempt.struck_at, attempt.struck_reason = at, draft.reason
    standing.restate(session, fault, before)


def _name_fix(session: Session, attempt: Attempt, fault: Fault, draft: AttemptDraft) -> None:
    if draft.fix is None:
        if draft.what is None:
            raise InvalidError([Problem("fix", "name the fix of an entry, or say what was done.")])
        return
    row = (
        library.entry_by(session, draft.entry)
        if draft.entry
        else session.get(kept.Entry, fault.entry_id or 0)
    )
    if row is None:
        raise InvalidError([Problem("entry", "say of which entry the fix is.")])
    entry = library.entry_page(session, row.slug).entry
    known = fix_keys(entry)
    if draft.fix not in known:
        raise InvalidError(
            [
                Problem(
                    "fix", f"'{row.slug}' has no fix '{draft.fix}'. It has: {', '.join(known)}."
                )
            ],
        )
    attempt.entry_id, attempt.fix_key = row.key, draft.fix
    if fault.entry_id is None:
        fault.entry_id = row.key


def fix_keys(entry: Entry) -> tuple[str, ...]:
    """Return the keys that an attempt may name: the fixes', and 'swap' where there is one."""
    return (*(fix.key for fix in entry.fixes), *((SWAP,) if entry.swap else ()))


def _for_change(session: Session, number: int, seen: int | None) -> Attempt:
    if not is_key(number) or session.get(Attempt, number) is None:
        raise NotFoundError("attempt", str(number), "See 'kitlore fault see NUMBER'.")
    attempt = journal.for_change(session, Attempt, number, seen)
    if attempt.struck_at is not None:
        raise ConflictError(f"Attempt {number} was struck out. Record a new one.")
    return attempt
