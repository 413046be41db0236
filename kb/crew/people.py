"""People: added, given a role, merged, forgotten."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import String, cast, update
from sqlmodel import Session, SQLModel, col, select

from kb.checking import Draft, Line, check
from kb.errors import ConflictError, NotFoundError
from kb.records import journal, merging
from kb.records.kinds import Role
from kb.records.tables.crew import Feed, Pairing, Person
from kb.records.tables.entries import EntryRevision, OwnWord
from kb.records.tables.faults import Attempt, Fault, Photo, Unanswered
from kb.records.tables.journal import History
from kb.records.tables.use import Loan, Service
from kb.records.unit import writer

# Who reported where nobody knows the phone; nobody may be called that.
STRANGER = "an unknown phone"
# Where a person's name stands as they gave it at the time.
_NAMED: tuple[tuple[type[SQLModel], str], ...] = (
    (Fault, "reporter"),
    (Attempt, "by"),
    (Photo, "by"),
    (EntryRevision, "by"),
    (Unanswered, "by"),
    (OwnWord, "by"),
    (Service, "tester"),
    (Loan, "borrower"),
    (History, "who"),
)


class PersonDraft(Draft):
    """What is typed of a person: initials or a short name, and what they may do."""

    name: Line
    role: Role = Role.TECH


@dataclass(frozen=True)
class PersonLine:
    """A person in a list."""

    name: str
    role: str
    version: int


def add_person(session: Session, values: Mapping[str, Any]) -> PersonLine:
    """Add a person.

    Raises:
        ConflictError: Somebody has that name already.
        InvalidError: A field is wrong.
    """
    draft = check(PersonDraft, values)
    _require_free(session, draft.name)
    person = Person(name=draft.name, role=draft.role)
    session.add(person)
    session.flush()
    return _line(person)


def change_person(
    session: Session, name: str, values: Mapping[str, Any], seen: int | None = None
) -> PersonLine:
    """Change a person's role or name; the old name stays in what they wrote before.

    Raises:
        ConflictError: Changed since it was seen, somebody has the new name, or they are the only
            lead of several people.
        InvalidError: A field is wrong.
        NotFoundError: Nobody has the name.
    """
    person = journal.for_change(session, Person, person_by(session, name).key, seen)
    draft = check(PersonDraft, {"name": person.name, "role": person.role, **values})
    _require_free(session, draft.name, but=person.key)
    if draft.role != Role.LEAD:
        _require_another_lead(session, person)
    person.name, person.role = draft.name, draft.role
    session.flush()
    return _line(person)


def merge_person(session: Session, name: str, into: str, seen: int | None = None) -> PersonLine:
    """Say that two names are one person: all that was written under the first moves over.

    Raises:
        ConflictError: The first was changed since it was seen, both are the same already, or the
            first is the only lead.
        NotFoundError: Nobody has one of the names.
    """
    kept = journal.for_change(session, Person, person_by(session, into).key)
    gone = journal.for_change(session, Person, person_by(session, name).key, seen)
    if kept.key == gone.key:
        raise ConflictError(f"{name} and {into} are one person already.")
    if kept.role != Role.LEAD:
        _require_another_lead(session, gone)
    merging.repoint(session, Person, gone.key, kept.key)
    gone.merged_into_id = kept.key
    session.flush()
    _rename(session, gone.name, kept.name)
    return _line(kept)


def forget_person(session: Session, name: str, seen: int | None = None) -> str:
    """Take a person's names out of every record, and return what stands there instead.

    What they did stays, under a number. Names that they had before and names merged into
    theirs go too, unless somebody else has one now.

    Raises:
        ConflictError: Changed since it was seen, or they are the only lead of several people.
        NotFoundError: Nobody has the name.
    """
    person = journal.for_change(session, Person, person_by(session, name).key, seen)
    _require_another_lead(session, person)
    blank = f"person {person.key}"
    others = {line.name for line in people(session)} - {person.name}
    names = _names_ever(session, person) - others
    for one in _records_of(session, person):
        one.name = blank
        _end_pairings(session, one)
        _end_feeds(session, one)
    person.forgotten_at = writer(session).at
    session.flush()
    for old in sorted(names):
        _rename(session, old, blank)
        _blank_history(session, old, blank)
    return blank


def _require_another_lead(session: Session, person: Person) -> None:
    """Refuse to leave others without anybody who says who gets in."""
    others = [one for one in _in_use(session) if one.key != person.key]
    if person.role == Role.LEAD and others and all(one.role != Role.LEAD for one in others):
        raise ConflictError(f"{person.name} is the only lead. Make somebody else one first.")


def people(session: Session) -> tuple[PersonLine, ...]:
    """Return everybody who is known, by name."""
    return tuple(_line(person) for person in _in_use(session))


def person_by(session: Session, name: str) -> Person:
    """Return the person of that name, whatever its case.

    Raises:
        NotFoundError: Nobody has it.
    """
    known = _in_use(session)
    found = _named(known, name)
    if found is None:
        told = ", ".join(person.name for person in known) or "nobody yet"
        raise NotFoundError(
            "person", name, f"Known are: {told}. Add one with 'kitlore person add'."
        )
    return found


def _in_use(session: Session) -> Sequence[Person]:
    return session.scalars(
        select(Person)
        .where(col(Person.merged_into_id).is_(None), col(Person.forgotten_at).is_(None))
        .order_by(Person.name),
    ).all()


def _named(known: Iterable[Person], name: str) -> Person | None:
    wanted = " ".join(name.split()).casefold()
    return next((person for person in known if person.name.casefold() == wanted), None)


def _require_free(session: Session, name: str, but: int | None = None) -> None:
    if name.casefold() == STRANGER:
        raise ConflictError(f"'{STRANGER}' stands for phones that nobody knows. Take another.")
    taken = _named(_in_use(session), name)
    if taken is not None and taken.key != but:
        raise ConflictError(f"There is a person '{taken.name}' already. Take another name.")


def _records_of(session: Session, person: Person) -> list[Person]:
    """Return a person's own record and those merged into it."""
    merged = session.scalars(select(Person).where(Person.merged_into_id == person.key))
    return [person, *merged]


def _names_ever(session: Session, person: Person) -> set[str]:
    """Return the names that a person has and had, those merged into theirs included."""
    return {
        name
        for one in _records_of(session, person)
        for step in journal.steps(session, "person", one.key)
        for name in step.changes.get("name", ())
        if name is not None
    }


def _rename(session: Session, old: str, new: str) -> None:
    """Change the name where it was written; forgetting would be none if the journal kept it."""
    for table, column in _NAMED:
        attribute = getattr(table, column)
        session.execute(update(table).where(attribute == old).values({column: new}))


def _end_pairings(session: Session, person: Person) -> None:
    """End what was let in in somebody's name; what they called it goes as their name does."""
    for row in session.scalars(select(Pairing).where(Pairing.person_id == person.key)).all():
        row.ended_at = row.ended_at or writer(session).at
        session.flush()
        blank = f"{row.kind} {row.key}"
        session.execute(update(Pairing).where(col(Pairing.id) == row.key).values(device=blank))
        _blank_column(session, "pairing", row.key, "device", blank)


def _end_feeds(session: Session, person: Person) -> None:
    for row in session.scalars(select(Feed).where(Feed.person_id == person.key)).all():
        row.ended_at = row.ended_at or writer(session).at
        session.flush()
        blank = f"calendar {row.key}"
        session.execute(update(Feed).where(col(Feed.id) == row.key).values(device=blank))
        _blank_column(session, "feed", row.key, "device", blank)


def _blank_column(session: Session, kind: str, key: int, column: str, blank: str) -> None:
    """Change what the journal says of a column of one record."""
    for step in session.scalars(
        select(History).where(History.kind == kind, History.record_id == key)
    ):
        pair = step.changes.get(column, [])
        said = [blank if value is not None else None for value in pair]
        step.changes = {**step.changes, column: said} if pair else step.changes
    session.flush()


def _blank_history(session: Session, old: str, blank: str) -> None:
    """Change the name where the journal tells what a record said before and after."""
    columns = {str(table.__tablename__): column for table, column in _NAMED}
    columns["person"] = "name"
    told = json.dumps(old)[1:-1]
    found = session.scalars(
        select(History).where(
            col(History.kind).in_(columns),
            cast(History.changes, String).contains(told, autoescape=True),
        ),
    )
    for row in found:
        column = columns[row.kind]
        pair = row.changes.get(column, [])
        said = [blank if value == old else value for value in pair]
        row.changes = {**row.changes, column: said} if pair else row.changes
    session.flush()


def _line(person: Person) -> PersonLine:
    return PersonLine(person.name, person.role, person.version)
