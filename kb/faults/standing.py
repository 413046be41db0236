"""The attempts on a fault that stand, and what the last of them says of the fault."""

from sqlmodel import Session, col, select

from kb.records.kinds import Outcome
from kb.records.tables.faults import Attempt, Fault

# What the last attempt says: which one it is, and how it ended.
Verdict = tuple[int, str] | None


def attempts(session: Session, fault: int) -> list[Attempt]:
    """Return a fault's attempts that are not struck out, in the order they were made."""
    return list(
        session.scalars(
            select(Attempt)
            .where(Attempt.fault_id == fault, col(Attempt.struck_at).is_(None))
            .order_by(col(Attempt.at), col(Attempt.id)),
        ),
    )


def verdict(session: Session, fault: int) -> Verdict:
    """Return what the last attempt on a fault says; None where there is no attempt."""
    made = attempts(session, fault)
    return (made[-1].key, made[-1].outcome) if made else None


def restate(session: Session, fault: Fault, before: Verdict) -> None:
    """Restore a fault where its last attempt worked, open it where that didn't.

    What worked before the fault came back restores nothing. A closed fault stays as it is. So does
    one whose last attempt says what it said before: it may have been opened again since.

    Args:
        session: The unit of work.
        fault: The fault.
        before: What the last attempt said before the change.
    """
    session.flush()
    if fault.closed_at is not None or verdict(session, fault.key) == before:
        return
    made = attempts(session, fault.key)
    worked = bool(made) and made[-1].outcome == Outcome.WORKED
    back = fault.reopened_at
    held = worked and (back is None or made[-1].at >= back)
    fault.restored_at = made[-1].at if held else None
    session.flush()
