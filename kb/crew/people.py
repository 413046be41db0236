"""People: added, given a role, merged, forgotten."""

from dataclasses import dataclass

from sqlalchemy import update
from sqlmodel import Session, SQLModel, col, select

from kb.checking import Draft, Line, check
from kb.errors import ConflictError, NotFoundError
from kb.records import journal
from kb.records.kinds import Role
from kb.records.tables.crew import Person
from kb.records.tables.entries import EntryRevision
from kb.records.tables.faults import Attempt, Fault, Unanswered
from kb.records.tables.journal import History
from kb.records.unit import writer

# Where a person's name stands as they gave it at the time.
_NAMED: tuple[tuple[type[SQLModel], str], ...] = (
    (Fault, "reporter"),
    (Attempt, "by"),
    (EntryRevision, "by"),
    (Unanswered, "by"),
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


def add_person(session: Session, values: dict[str, str]) -> PersonLine:
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
    session: Session, name: str, values: dict[str, str], seen: int | None = None
) -> PersonLine:
    """Change a person's role or name; the old name stays in what they wrote before.

    Raises:
        ConflictError: Changed since it was seen, or somebody has the new name.
        InvalidError: A field is wrong.
        NotFoundError: Nobody has the name.
    """
    person = journal.for_change(session, Person, person_by(session, name).key, seen)
    draft = check(PersonDraft, {"name": person.name, "role": person.role, **values})
    if draft.name != person.name:
        _require_free(session, draft.name)
    person.name, person.role = draft.name, draft.role
    session.flush()
    return _line(person)


def merge_person(session: Session, name: str, into: str) -> PersonLine:
    """Say that two names are one person: all that was written under the first moves over.

    Raises:
        ConflictError: Both are the same already.
        NotFoundError: Nobody has one of the names.
    """
    kept = person_by(session, into)
    gone = journal.for_change(session, Person, person_by(session, name).key)
    if kept.key == gone.key:
        raise ConflictError(f"{name} and {into} are one person already.")
    gone.merged_into_id = kept.key
    session.flush()
    _rename(session, gone.name, kept.name)
    return _line(kept)


def forget_person(session: Session, name: str) -> str:
    """Take a person's name out of every record, and return what stands there instead.

    What they did stays, under a number.

    Raises:
        NotFoundError: Nobody has the name.
    """
    person = journal.for_change(session, Person, person_by(session, name).key)
    blank = f"person {person.key}"
    old = person.name
    person.name, person.forgotten_at = blank, writer(session).at
    session.flush()
    _rename(session, old, blank)
    _blank_history(session, person.key, blank)
    return blank


def people(session: Session) -> tuple[PersonLine, ...]:
    """Return everybody who is known, by name."""
    found = session.scalars(
        select(Person)
        .where(col(Person.merged_into_id).is_(None), col(Person.forgotten_at).is_(None))
        .order_by(Person.name),
    )
    return tuple(_line(person) for person in found)


def person_by(session: Session, name: str) -> Person:
    """Return the person of that name.

    Raises:
        NotFoundError: Nobody has it.
    """
    found = session.scalars(
        select(Person).where(
            Person.name == name.strip(),
            col(Person.merged_into_id).is_(None),
            col(Person.forgotten_at).is_(None),
        ),
    ).first()
    if found is None:
        known = ", ".join(line.name for line in people(session)) or "nobody yet"
        raise NotFoundError(
            "person", name, f"Known are: {known}. Add one with 'kitlore person add'."
        )
    return found


def _require_free(session: Session, name: str) -> None:
    if any(line.name == name for line in people(session)):
        raise ConflictError(f"There is a person '{name}' already. Take another name.")


def _rename(session: Session, old: str, new: str) -> None:
    """Change the name where it was written; forgetting would be none if the journal kept it."""
    for table, column in _NAMED:
        attribute = getattr(table, column)
        session.execute(update(table).where(attribute == old).values({column: new}))


def _blank_history(session: Session, key: int, blank: str) -> None:
    found = session.scalars(
        select(History).where(History.kind == "person", History.record_id == key),
    )
    for row in found:
        if "name" in row.changes:
            row.changes = {**row.changes, "name": [None, blank]}
    session.flush()


def _line(person: Person) -> PersonLine:
    return PersonLine(person.name, person.role, person.version)
