"""People are known by a short name; who is forgotten is named nowhere any more."""

import json
from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from builders import an_item
from sqlalchemy import inspect, text
from sqlmodel import Session, select

from kb.crew import people
from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import loans, lookup, upkeep
from kb.records import journal
from kb.records.tables.crew import Person
from kb.records.tables.entries import Entry, EntryRevision
from kb.records.tables.faults import Attempt, Fault, Unanswered
from kb.records.tables.journal import History
from kb.records.tables.use import Loan
from kb.records.unit import RecordSession, Writer


def names(session: Session) -> list[str]:
    return [line.name for line in people.people(session)]


def what_somebody_writes(session: Session, name: str, at: datetime) -> None:
    """Leave the name wherever a name is kept."""
    an_item(session)
    key = lookup.item(session, "CC-01").key
    session.add(Entry(slug="dark", title="Dark", area="Displays and multiview"))
    session.flush()
    session.add(EntryRevision(entry_id=1, number=1, text="x", digest="0", at=at, by=name))
    session.add(Unanswered(query="dark", at=at, by=name))
    session.add(Fault(text="dark", noticed_at=at, reporter=name, seen_item_id=key))
    session.flush()
    session.add(Attempt(fault_id=1, what="replug", outcome="worked", at=at, by=name))
    loans.lend(session, "CC-01", {"borrower": name}, at)
    values = {"kind": "test", "work": "run", "items": "CC-01", "tester": name}
    upkeep.add_service(session, values, at)
    session.flush()


def everything_kept(session: Session) -> Iterator[str]:
    """Yield each row of each table as text."""
    session.flush()
    for table in inspect(session.connection()).get_table_names():
        for row in session.execute(text(f'SELECT * FROM "{table}"')):  # noqa: S608
            yield f"{table}: {json.dumps(list(row), ensure_ascii=False, default=str)}"


def test_people_are_listed_by_name(session: Session) -> None:
    people.add_person(session, {"name": "M.O.", "role": "lead"})
    line = people.add_person(session, {"name": " A.K. "})
    assert (line.name, line.role, line.version) == ("A.K.", "tech", 1)
    assert names(session) == ["A.K.", "M.O."]


def test_who_is_unknown_is_told_who_is_known(session: Session) -> None:
    with pytest.raises(NotFoundError, match="Known are: nobody yet"):
        people.person_by(session, "M.O.")
    people.add_person(session, {"name": "M.O."})
    with pytest.raises(NotFoundError, match=r"No person 'X.X.'. Known are: M\.O\."):
        people.person_by(session, "X.X.")
    for typed in (" M.O. ", "m.o."):
        assert people.person_by(session, typed).name == "M.O."


def test_what_does_not_fit_is_refused(session: Session) -> None:
    people.add_person(session, {"name": "M.O."})
    people.add_person(session, {"name": "A.K."})
    with pytest.raises(InvalidError, match="role: 'boss' is none of 'reader', 'tech' or 'lead'"):
        people.add_person(session, {"name": "X.X.", "role": "boss"})
    with pytest.raises(ConflictError, match=r"There is a person 'M\.O\.' already"):
        people.add_person(session, {"name": "m.o."})
    with pytest.raises(ConflictError, match=r"There is a person 'M\.O\.' already"):
        people.change_person(session, "A.K.", {"name": "M.O."})


def test_a_role_changes_and_the_second_of_two_writers_is_told(session: Session) -> None:
    people.add_person(session, {"name": "M.O."})
    line = people.change_person(session, "M.O.", {"role": "lead"}, seen=1)
    assert (line.role, line.version) == ("lead", 2)
    with pytest.raises(ConflictError, match="role 'tech' -> 'lead'"):
        people.change_person(session, "M.O.", {"role": "reader"}, seen=1)


def test_two_names_of_one_person_become_one(session: Session, at: datetime) -> None:
    people.add_person(session, {"name": "Mo"})
    people.add_person(session, {"name": "M.O."})
    what_somebody_writes(session, "Mo", at)
    people.merge_person(session, "Mo", "M.O.")
    assert names(session) == ["M.O."]
    fault = session.scalars(select(Fault)).one()
    session.refresh(fault)
    assert fault.reporter == "M.O."
    with pytest.raises(ConflictError, match="are one person already"):
        people.merge_person(session, "M.O.", "M.O.")


def test_who_is_forgotten_is_named_nowhere(session: Session, at: datetime) -> None:
    people.add_person(session, {"name": "Zoë Q."})
    people.add_person(session, {"name": "M.O."})
    what_somebody_writes(session, "Zoë Q.", at)
    kept = sum(1 for _row in everything_kept(session))
    blank = people.forget_person(session, "Zoë Q.")
    assert blank == "person 1"
    assert names(session) == ["M.O."]
    rows = list(everything_kept(session))
    assert [row for row in rows if "Zo" in row] == []
    assert len(rows) >= kept, "what was done stays"
    assert session.scalars(select(Loan.borrower)).one() == blank


def test_names_that_somebody_had_before_are_forgotten_too(session: Session, at: datetime) -> None:
    people.add_person(session, {"name": "Zoe"})
    what_somebody_writes(session, "Zoe", at)
    people.change_person(session, "Zoe", {"name": "Z.Q."})
    people.add_person(session, {"name": "Zoë Q."})
    people.merge_person(session, "Zoë Q.", "Z.Q.")
    people.forget_person(session, "Z.Q.")
    assert [row for row in everything_kept(session) if "Zo" in row or "Z.Q." in row] == []


def test_a_name_that_somebody_else_has_now_stays_theirs(session: Session) -> None:
    people.add_person(session, {"name": "Mo"})
    people.change_person(session, "Mo", {"name": "M.O."})
    people.add_person(session, {"name": "Mo"})
    people.forget_person(session, "M.O.")
    assert names(session) == ["Mo"]


def test_a_name_within_another_is_not_touched(session: Session, at: datetime) -> None:
    people.add_person(session, {"name": "Mo"})
    people.add_person(session, {"name": "Mo N."})
    what_somebody_writes(session, "Mo N.", at)
    people.forget_person(session, "Mo")
    assert session.scalars(select(Fault.reporter)).one() == "Mo N."
    (step,) = journal.steps(session, "fault", 1)
    assert step.changes["reporter"] == (None, "Mo N.")


def test_who_wrote_is_forgotten_in_the_journal(session: RecordSession, at: datetime) -> None:
    people.add_person(session, {"name": "M.O."})  # who writes this very unit of work
    people.forget_person(session, "M.O.")
    whos = set(session.scalars(select(History.who)))
    assert "M.O." not in whos
    assert session.info["writer"] == Writer("M.O.", "terminal", at)
    assert session.scalars(select(Person.forgotten_at)).one() == at


@pytest.mark.parametrize("act", ["forget", "demote", "merge"])
def test_the_only_lead_of_several_stays_one(act: str, session: Session) -> None:
    for name, role in (("M.O.", "lead"), ("T.R.", "tech")):
        people.add_person(session, {"name": name, "role": role})

    acts: dict[str, Callable[[], object]] = {
        "forget": lambda: people.forget_person(session, "M.O."),
        "demote": lambda: people.change_person(session, "M.O.", {"role": "tech"}),
        "merge": lambda: people.merge_person(session, "M.O.", "T.R."),
    }
    with pytest.raises(ConflictError, match=r"M\.O\. is the only lead"):
        acts[act]()
    people.change_person(session, "T.R.", {"role": "lead"})
    acts[act]()

    assert [one.role for one in people.people(session)].count("lead") == 1


def test_one_who_works_alone_may_be_forgotten(session: Session) -> None:
    people.add_person(session, {"name": "M.O.", "role": "lead"})

    assert people.forget_person(session, "M.O.") == "person 1"
