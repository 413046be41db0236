"""The whole journal as a list: what was written, by whom and from where, the newest first."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.records import naming
from kb.records.tables.crew import Pairing
from kb.records.tables.journal import History

# Digests say nothing to a person.
_UNTOLD = frozenset({"ticket", "secret", "digest", "client_key"})


@dataclass(frozen=True)
class AuditLine:
    """One record written in one unit of work.

    Attributes:
        at: When.
        who: By whom.
        device: From where; with what its pairing is called.
        kind: The record's table.
        record_id: Its key there.
        changes: Column to (from, to), names in place of keys.
    """

    at: datetime
    who: str
    device: str
    kind: str
    record_id: int
    changes: dict[str, tuple[Any, Any]]


def lines(
    session: Session, limit: int, offset: int = 0, who: str = "", device: str = ""
) -> tuple[AuditLine, ...]:
    """Return what was written, the newest first.

    Args:
        session: The unit of work.
        limit: How many at most.
        offset: How many to leave out.
        who: Only what this person wrote; empty for all.
        device: Only what came from there; empty for all.
    """
    asked = select(History).order_by(col(History.id).desc()).limit(limit).offset(offset)
    asked = asked.where(History.who == who) if who else asked
    asked = asked.where(History.device == device) if device else asked
    called = {
        f"{kind} {number}": name
        for number, kind, name in session.execute(select(Pairing.id, Pairing.kind, Pairing.device))
    }
    return tuple(_line(session, row, called) for row in session.scalars(asked))


def _line(session: Session, row: History, called: dict[str, str]) -> AuditLine:
    changes = {name: (pair[0], pair[1]) for name, pair in row.changes.items()}
    name = called.get(row.device, row.device)
    return AuditLine(
        row.at,
        row.who,
        row.device if name == row.device else f"{row.device} ({name})",
        row.kind,
        row.record_id,
        naming.named(
            session, row.kind, {key: pair for key, pair in changes.items() if key not in _UNTOLD}
        ),
    )
