"""What phones may do that nobody paired, and by which names labels call us."""

from sqlmodel import Session, col, select

from kb.errors import ConflictError, InvalidError, Problem
from kb.records import journal
from kb.records.kinds import Role, Strangers
from kb.records.tables.crew import Admission, Person, PrintedHost

_ONLY = 1


def strangers(session: Session) -> Strangers:
    """Return what unpaired phones may do; they may report a fault unless a lead said otherwise."""
    found = session.get(Admission, _ONLY)
    return Strangers(found.strangers) if found else Strangers.REPORT


def admit_strangers(session: Session, may: str) -> None:
    """Say what unpaired phones may do.

    Raises:
        InvalidError: It's nothing that they may be allowed.
    """
    try:
        wanted = Strangers(may)
    except ValueError:
        known = ", ".join(Strangers)
        raise InvalidError([Problem("strangers", f"'{may}' is none of: {known}.")]) from None
    if session.get(Admission, _ONLY) is None:
        session.add(Admission(id=_ONLY, strangers=wanted))
    else:
        journal.for_change(session, Admission, _ONLY).strangers = wanted
    session.flush()


def require_lead(session: Session) -> None:
    """Refuse where nobody leads: whoever is let in is let in by a lead.

    Raises:
        ConflictError: Nobody has the lead's role.
    """
    lead = select(Person.id).where(
        Person.role == Role.LEAD,
        col(Person.merged_into_id).is_(None),
        col(Person.forgotten_at).is_(None),
    )
    if session.scalars(lead).first() is None:
        raise ConflictError(
            "Nobody leads yet, so nobody could let a phone in. Say who does: 'kitlore person add "
            "NAME --role lead'."
        )


def printed_hosts(session: Session) -> frozenset[str]:
    """Return every host that a label was printed with, in small letters."""
    return frozenset(session.scalars(select(PrintedHost.host)))


def keep_printed_host(session: Session, host: str) -> None:
    """Remember the host that a label is printed with; as long as it lives we answer by it."""
    host = host.strip().casefold()
    if host not in printed_hosts(session):
        session.add(PrintedHost(host=host))
        session.flush()
