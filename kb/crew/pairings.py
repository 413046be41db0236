"""Phones and scripts that were let in: offered for two minutes, paired once, ended at any time.

Tickets and secrets are 256 bits of chance; only their SHA-256 is kept, which nobody can turn
back. So neither the base nor a backup of it opens anything.
"""

import hashlib
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Engine, update
from sqlmodel import Session, col, select

from kb.checking import Draft, Line, OptionalLine, check
from kb.crew import people, roles
from kb.errors import ConflictError, NotFoundError
from kb.records import failures, journal
from kb.records.kinds import PairingKind, Role
from kb.records.tables.base import is_key
from kb.records.tables.crew import Pairing, Person
from kb.records.unit import writer

OFFERED = timedelta(minutes=2)
LASTS = timedelta(days=180)
_BYTES = 32
# The last use is told by the hour: more often nobody needs it.
_USE_NOTED = timedelta(hours=1)
_SPENT = (
    "This offer to pair a phone has been used, has run out, or never was. Ask a lead to show a "
    "new one."
)


class OfferDraft(Draft):
    """What a lead says who lets a phone in: in whose name, and how it's called."""

    person: Line
    device: OptionalLine = None


class ScriptDraft(Draft):
    """What a lead says who lets a script in; with no more than its person's role."""

    person: Line
    device: Line
    role: Role = Role.READER


@dataclass(frozen=True)
class Offer:
    """What a lead shows: the ticket in the symbol, and until when it's good."""

    number: int
    person: str
    ticket: str
    until: datetime


@dataclass(frozen=True)
class Paired:
    """What a phone or a script keeps, once and nowhere else."""

    number: int
    person: str
    secret: str
    expires: datetime


@dataclass(frozen=True)
class Holder:
    """Who comes with a secret: the person, what they may do, and with which phone."""

    number: int
    person: str
    role: Role
    kind: PairingKind
    last_used: datetime | None


@dataclass(frozen=True)
class PairingLine:
    """A pairing in a list."""

    number: int
    person: str
    role: Role
    kind: str
    device: str
    paired: datetime
    expires: datetime
    last_used: datetime | None
    version: int


def offer(session: Session, values: Mapping[str, Any], at: datetime) -> Offer:
    """Offer to let a phone in, for two minutes and once.

    Raises:
        InvalidError: A field is wrong.
        NotFoundError: Nobody has the name.
    """
    draft = check(OfferDraft, values)
    person = people.person_by(session, draft.person)
    ticket, until = secrets.token_urlsafe(_BYTES), at + OFFERED
    row = Pairing(
        person_id=person.key,
        device=draft.device or "",
        ticket=digest(ticket),
        offered_until=until,
    )
    session.add(row)
    session.flush()
    row.device = row.device or f"phone {row.key}"
    session.flush()
    return Offer(row.key, person.name, ticket, until)


def offered_to(session: Session, ticket: str, at: datetime) -> str:
    """Return in whose name an offer lets a phone in.

    Raises:
        ConflictError: It was used, has run out, or never was.
    """
    return session.get_one(Person, _offered(session, ticket, at).person_id).name


def accept(session: Session, ticket: str, at: datetime) -> Paired:
    """Let the phone in that brings the ticket, which is spent by it.

    Raises:
        ConflictError: It was used, has run out, or never was.
    """
    found = journal.for_change(session, Pairing, _offered(session, ticket, at).key)
    _require_open(found, at)  # another phone may have been first
    return _let_in(session, found, at)


def add_script(session: Session, values: Mapping[str, Any], at: datetime) -> Paired:
    """Let a script in, and return the secret that it sends.

    Raises:
        InvalidError: A field is wrong.
        NotFoundError: Nobody has the name.
    """
    draft = check(ScriptDraft, values)
    person = people.person_by(session, draft.person)
    row = Pairing(
        person_id=person.key, kind=PairingKind.SCRIPT, device=draft.device, role=draft.role
    )
    return _let_in(session, row, at)


def end_pairing(session: Session, number: int, seen: int | None = None) -> str:
    """End a pairing at once, and return how the phone or script was called.

    Raises:
        ConflictError: Changed since it was seen.
        NotFoundError: There is none of that number.
    """
    found = session.get(Pairing, number) if is_key(number) else None
    if found is None or found.ended_at is not None:
        raise NotFoundError("pairing", str(number), "It may have been ended already.")
    row = journal.for_change(session, Pairing, number, seen)
    row.ended_at = writer(session).at
    session.flush()
    return row.device


def pairings(session: Session, at: datetime) -> tuple[PairingLine, ...]:
    """Return what is let in now, the newest first."""
    rows = session.execute(
        select(Pairing, Person)
        .join(Person, col(Pairing.person_id) == col(Person.id))
        .where(
            col(Pairing.secret).is_not(None),
            col(Pairing.ended_at).is_(None),
            col(Pairing.expires_at) > at,
        )
        .order_by(col(Pairing.id).desc()),
    )
    return tuple(_line(row, person) for row, person in rows)


def holder(session: Session, secret: str, at: datetime) -> Holder | None:
    """Return who comes with a secret; None where it's unknown, ended or has run out."""
    found = session.execute(
        select(Pairing, Person)
        .join(Person, col(Pairing.person_id) == col(Person.id))
        .where(Pairing.secret == digest(secret), col(Pairing.ended_at).is_(None)),
    ).first()
    if found is None:
        return None
    row, person = found
    if row.expires_at is None or row.expires_at <= at or person.forgotten_at is not None:
        return None
    kind = PairingKind(row.kind)
    return Holder(row.key, person.name, _role(row, person), kind, row.last_used_at)


def is_use_due(found: Holder, at: datetime) -> bool:
    """Return whether the last use is so long ago that this one is to be noted."""
    return found.last_used is None or at - found.last_used >= _USE_NOTED


def note_use(engine: Engine, number: int, at: datetime) -> None:
    """Note when a pairing was used last: no change of a record, so none in the journal.

    Raises:
        BusyError: Another writer holds the database.
        StorageError: It can't be written.
    """
    row = update(Pairing).where(col(Pairing.id) == number).values(last_used_at=at)
    with failures.translated(engine.url), engine.begin() as connection:
        connection.execute(row)


def digest(secret: str) -> str:
    """Return what is kept of a secret, which nobody can turn back."""
    return hashlib.sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()


def _offered(session: Session, ticket: str, at: datetime) -> Pairing:
    found = session.scalars(select(Pairing).where(Pairing.ticket == digest(ticket))).first()
    if found is None:
        raise ConflictError(_SPENT)
    _require_open(found, at)
    return found


def _require_open(row: Pairing, at: datetime) -> None:
    until = row.offered_until
    if row.paired_at or row.ended_at or until is None or not until - OFFERED <= at < until:
        raise ConflictError(_SPENT)


def _let_in(session: Session, row: Pairing, at: datetime) -> Paired:
    secret = secrets.token_urlsafe(_BYTES)
    row.secret, row.paired_at, row.expires_at = digest(secret), at, at + LASTS
    session.add(row)
    session.flush()
    person = session.get_one(Person, row.person_id)
    return Paired(row.key, person.name, secret, at + LASTS)


def _role(row: Pairing, person: Person) -> Role:
    own = Role(person.role)
    return roles.lesser(own, Role(row.role)) if row.role else own


def _line(row: Pairing, person: Person) -> PairingLine:
    assert row.paired_at is not None and row.expires_at is not None  # noqa: S101, PT018 - paired
    return PairingLine(
        row.key,
        person.name,
        _role(row, person),
        row.kind,
        row.device,
        row.paired_at,
        row.expires_at,
        row.last_used_at,
        row.version,
    )
