"""The attempts behind each fix of an entry."""

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from sqlmodel import Session, col, select

from kb.entries.outcomes import Evidence, Tried, weigh
from kb.records.kinds import Outcome
from kb.records.tables.faults import STANDS, Attempt, Fault

Behind = dict[int, dict[str, Evidence]]


def of_entries(session: Session, keys: Collection[int], now: datetime, hold_days: int) -> Behind:
    """Return the evidence behind the fixes of entries: entry key -> fix key -> evidence.

    Args:
        session: The unit of work.
        keys: The entries' keys.
        now: The time now.
        hold_days: For how many days a fix must hold to have worked.
    """
    tries = _tries(session, keys)
    seen = _seen(session, keys)
    hold = timedelta(days=hold_days)
    return {
        entry: {fix: weigh(made, seen.get(entry, ()), now, hold) for fix, made in by_fix.items()}
        for entry, by_fix in tries.items()
    }


def _tries(session: Session, keys: Collection[int]) -> dict[int, dict[str, list[Tried]]]:
    columns: list[Any] = [
        *(Attempt.id, Attempt.entry_id, Attempt.fix_key, Attempt.at, Attempt.outcome),
        *(Fault.id, Fault.seen_item_id, Fault.restored_at, Fault.reopened_at),
    ]
    rows = session.execute(
        select(*columns)
        .join(Fault, col(Attempt.fault_id) == Fault.id)
        .where(
            col(Attempt.entry_id).in_(keys),
            col(Attempt.fix_key).is_not(None),
            col(Attempt.struck_at).is_(None),
        )
        .order_by(col(Attempt.at), col(Attempt.id)),
    )
    last = _last_of_each(session, keys)
    found: dict[int, dict[str, list[Tried]]] = {}
    for attempt, entry, fix, at, outcome, fault, item, restored, back in rows.all():
        tried = Tried(
            fault=fault,
            item=item,
            at=at,
            outcome=Outcome(outcome),
            restored=restored is not None and (back is None or at >= back),
            last=last[fault] == attempt,
        )
        found.setdefault(entry, {}).setdefault(fix, []).append(tried)
    return found


def _last_of_each(session: Session, keys: Collection[int]) -> dict[int, int]:
    """Return fault -> its last attempt that stands, of any entry."""
    faults = select(Attempt.fault_id).where(col(Attempt.entry_id).in_(keys))
    rows = session.execute(
        select(Attempt.fault_id, Attempt.id)
        .where(col(Attempt.fault_id).in_(faults), col(Attempt.struck_at).is_(None))
        .order_by(col(Attempt.at), col(Attempt.id)),
    )
    return {fault: key for fault, key in rows if key is not None}


def _seen(session: Session, keys: Collection[int]) -> dict[int, list[tuple[int, int, datetime]]]:
    rows = session.execute(
        select(Fault.entry_id, Fault.id, Fault.seen_item_id, Fault.noticed_at).where(
            col(Fault.entry_id).in_(keys),
            STANDS,
            col(Fault.seen_item_id).is_not(None),
        ),
    )
    found: dict[int, list[tuple[int, int, datetime]]] = {}
    for entry, fault, item, noticed in rows:
        found.setdefault(entry, []).append((fault, item, noticed))
    return found
