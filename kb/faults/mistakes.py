"""Take back a fault that a slip of the finger logged, and bring one back that was none."""

from datetime import datetime

from sqlmodel import Session, col, select

from kb.errors import ConflictError
from kb.faults import log
from kb.records.tables.faults import Attempt

_STRUCK = "its fault was logged by mistake"


def take_back(session: Session, number: int, at: datetime, seen: int | None = None) -> None:
    """Say that a fault was logged by mistake: it stays readable and counts nowhere.

    What was tried on it is struck out, so that no evidence rests on it.

    Raises:
        ConflictError: Changed since it was seen, or taken back already.
        NotFoundError: There is no such fault.
    """
    fault = log.fault_for_change(session, number, seen)
    if fault.mistaken_at is not None:
        raise ConflictError(f"Fault {fault.key} is taken back already. Nothing was changed.")
    fault.mistaken_at = at
    made = select(Attempt).where(Attempt.fault_id == fault.key, col(Attempt.struck_at).is_(None))
    for attempt in session.scalars(made):
        attempt.struck_at, attempt.struck_reason = at, _STRUCK
    session.flush()


def bring_back(session: Session, number: int, seen: int | None = None) -> None:
    """Say that a fault was no mistake after all: it counts again, with what was tried on it.

    Raises:
        ConflictError: Changed since it was seen, or it was not taken back.
        NotFoundError: There is no such fault.
    """
    fault = log.fault_for_change(session, number, seen)
    if fault.mistaken_at is None:
        raise ConflictError(f"Fault {fault.key} stands. Nothing was changed.")
    struck = select(Attempt).where(
        Attempt.fault_id == fault.key,
        Attempt.struck_at == fault.mistaken_at,
        Attempt.struck_reason == _STRUCK,
    )
    for attempt in session.scalars(struck):
        attempt.struck_at = attempt.struck_reason = None
    fault.mistaken_at = None
    session.flush()
