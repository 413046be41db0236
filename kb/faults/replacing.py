"""A spare tried in the place of the unit that a fault was seen on: both kept in one act."""

from datetime import datetime
from typing import Any

from sqlmodel import Session

from kb.checking import Draft, Line, OptionalLine, check
from kb.entries import library
from kb.errors import InvalidError, Problem
from kb.faults import attempts, log
from kb.gear import items, swapping
from kb.records.kinds import ItemState, Outcome
from kb.records.tables.gear import Item


class ReplaceDraft(Draft):
    """Which spare came in, whether it helped, and whether the unit is in doubt now."""

    spare: Line
    outcome: Outcome
    entry: OptionalLine = None
    doubtful: bool = False


def replace_unit(session: Session, number: int, values: dict[str, Any], at: datetime) -> int:
    """Put a spare where a fault's unit is, keep how that ended, and return the attempt's number.

    The unit lies where the spare lay; it's doubtful from now on where that was asked for.

    Args:
        session: The unit of work.
        number: The fault's number.
        values: The fields of `ReplaceDraft`.
        at: When.

    Raises:
        ConflictError: The fault is closed, or the spare can't come in.
        InvalidError: A field is wrong, or the fault was seen on no item.
        NotFoundError: The fault, the spare or the entry is unknown.
    """
    draft = check(ReplaceDraft, values)
    unit = session.get(Item, log.fault_by(session, number).seen_item_id or 0)
    if unit is None:
        raise InvalidError([Problem("item", "the fault was seen on no item. Name it first.")])
    made = attempts.record_attempt(session, number, _attempt(session, draft, unit), at)
    swapping.swap_item(session, unit.code, draft.spare, at)
    if draft.doubtful and unit.state == ItemState.FIT:
        items.set_state(session, unit.code, ItemState.DOUBTFUL, at, f"swapped in fault {number}")
    return made


def _attempt(session: Session, draft: ReplaceDraft, unit: Item) -> dict[str, Any]:
    """Return the attempt as it's recorded: the entry's swap, or what was done in words."""
    if draft.entry and library.entry_page(session, draft.entry).entry.swap:
        fix: dict[str, Any] = {"entry": draft.entry, "fix": attempts.SWAP}
    else:
        fix = {"what": f"put {draft.spare} in place of {unit.name}"}
    return {"outcome": draft.outcome, **fix}
