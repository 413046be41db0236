"""What an entry learns: the words of the faults that its fixes solved."""

from collections.abc import Collection
from typing import Any

from sqlmodel import Session, col, select

from kb.records.kinds import Outcome
from kb.records.tables.faults import STANDS, Attempt, Fault

FAULTS_LIMIT = 40  # the newest of an entry; more would drown what its author wrote
TEXT_LIMIT = 240  # characters of each report: the symptom stands first


def of_entries(session: Session, keys: Collection[int]) -> dict[int, tuple[str, ...]]:
    """Return the reports of solved faults by entry, the newest first.

    A fault teaches the entry whose fix worked as the last thing tried on it, while it stays
    restored; opened again, its words go.
    """
    tried = select(Attempt.fault_id).where(col(Attempt.entry_id).in_(keys))
    columns: list[Any] = [
        *(Attempt.fault_id, Attempt.entry_id, Attempt.fix_key, Attempt.outcome),
        Fault.text,
    ]
    rows = session.execute(
        select(*columns)
        .join(Fault, col(Attempt.fault_id) == Fault.id)
        .where(
            col(Attempt.fault_id).in_(tried),
            col(Attempt.struck_at).is_(None),
            col(Fault.restored_at).is_not(None),
            STANDS,
        )
        .order_by(col(Attempt.at).desc(), col(Attempt.id).desc())
    )
    seen: set[int] = set()
    found: dict[int, tuple[str, ...]] = {}
    for fault, entry, fix, outcome, text in rows:
        last = fault not in seen
        seen.add(fault)
        mine = found.get(entry or 0, ())
        if last and fix and outcome == Outcome.WORKED and len(mine) < FAULTS_LIMIT:
            found[entry or 0] = (*mine, text[:TEXT_LIMIT])
    return {key: texts for key, texts in found.items() if key in keys}
