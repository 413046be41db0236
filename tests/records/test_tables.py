"""The database itself refuses what must never be."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from enum import StrEnum
from typing import Any

import pytest
from sqlalchemy import CheckConstraint, Engine
from sqlalchemy.exc import IntegrityError, StatementError
from sqlmodel import Session, SQLModel, select

from kb.records import kinds
from kb.records.schema import METADATA
from kb.records.tables.base import Record
from kb.records.tables.crew import Person
from kb.records.tables.entries import Entry, EntryRevision
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Code, Item, Model, Place, StateSpell
from kb.records.tables.use import (
    DriveTest,
    Link,
    Loan,
    Service,
    ServiceItem,
    Show,
    Spare,
    SpareModel,
)

AT = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
EARLIER = AT - timedelta(hours=1)


@pytest.fixture
def bare(engine: Engine) -> Iterator[Session]:
    """A session without journal or translation, on a base with two items, a model, a place."""
    with Session(engine) as session:
        session.add(Model(maker="Ossprell", name="Ribbonet 3"))
        session.add(Place(name="RR", kind="room"))
        for number in (1, 2, 3):
            session.add(Item(code=f"00000{number}", name=f"IT-0{number}"))
        session.add(Entry(slug="dark", title="Dark", area="Displays and multiview"))
        session.flush()
        session.add(Fault(text="dark", noticed_at=AT, reporter="M.O.", seen_item_id=1))
        session.add(Service(kind="test", at=AT, work="run"))
        session.add(Spare(name="leads", minimum=1))
        session.flush()
        yield session


def a_fault(**over: Any) -> Fault:  # noqa: ANN401
    values = {"text": "dark", "noticed_at": AT, "reporter": "M.O.", "seen_item_id": 1, **over}
    return Fault(**values)


def a_link(**over: Any) -> Link:  # noqa: ANN401
    ends = {"from_item_id": 1, "from_port": "out", "to_item_id": 2, "to_port": "in"}
    return Link(**{**ends, "since": AT, **over})


def a_show(**over: Any) -> Show:  # noqa: ANN401
    return Show(**{"title": "Panel", "air_at": AT, **over})


@pytest.mark.parametrize(
    "row",
    [
        Person(name="M.O.", role="boss"),
        Entry(slug="x", title="X", area="Y", status="lost"),
        Place(name="x", kind="planet"),
        Item(code="000009", name=""),
        Item(code="000009", name="x", state="broken"),
        Item(code="000009", name="x", price_minor=-1),
        Code(code="12345", drawn_at=AT),
        Code(code="1234567", drawn_at=AT),
        Code(code="000009", item_id=1, place_id=1, drawn_at=AT),
        StateSpell(item_id=1, state="broken", since=AT),
        a_fault(seen_item_id=None),
        a_fault(effect="awful"),
        a_fault(cause_kind="gremlins"),
        a_fault(cause_item_id=1),
        a_fault(cable_end="C"),
        a_fault(minutes_lost=-1),
        a_fault(restored_at=EARLIER),
        a_fault(closed_at=AT),
        Attempt(fault_id=1, outcome="worked", at=AT, by="M.O."),
        Attempt(fault_id=1, fix_key="replug", outcome="worked", at=AT, by="M.O."),
        Attempt(fault_id=1, what="x", outcome="perhaps", at=AT, by="M.O."),
        Attempt(fault_id=1, what="x", outcome="worked", minutes=-0.5, at=AT, by="M.O."),
        a_link(until=EARLIER),
        a_link(cable_id=1),
        a_link(cable_id=2),
        a_show(kind="party"),
        a_show(ends_at=EARLIER),
        a_show(set_up_from=AT + timedelta(hours=1)),
        Service(kind="party", at=AT, work="x"),
        Service(kind="test", at=AT, work="x", cost_minor=-1),
        ServiceItem(service_id=1, item_id=1, result="good"),
        Loan(item_id=1, borrower="x", out_at=AT, back_at=EARLIER),
        Spare(name="x", minimum=-1),
        Spare(name="x", minimum=1, on_hand=-1),
        Spare(name="x", minimum=1, needed_rate=0),
        DriveTest(item_id=1, at=AT, write_rate=0),
    ],
    ids=lambda row: f"{type(row).__name__}-{row.model_dump(exclude_defaults=True)}"[:60],
)
def test_a_row_that_must_never_be_is_refused(bare: Session, row: SQLModel) -> None:
    bare.add(type(row)(**row.model_dump()))
    with pytest.raises(IntegrityError, match="CHECK constraint failed"):
        bare.flush()


@pytest.mark.parametrize(
    ("table", "column"),
    [
        (Model, "merged_into_id"),
        (Place, "merged_into_id"),
        (Place, "parent_id"),
        (Item, "merged_into_id"),
        (Fault, "merged_into_id"),
    ],
)
def test_nothing_leads_to_itself(bare: Session, table: type[Record], column: str) -> None:
    setattr(bare.get_one(table, 1), column, 1)
    with pytest.raises(IntegrityError, match="CHECK constraint failed"):
        bare.flush()


def once_more(row: SQLModel, **over: Any) -> list[SQLModel]:  # noqa: ANN401
    return [row, type(row)(**{**row.model_dump(exclude={"id"}), **over})]


@pytest.mark.parametrize(
    "rows",
    [
        once_more(Person(name="M.O.")),
        once_more(Model(maker="A", name="B")),
        once_more(Place(name="R1", kind="rack", parent_id=1)),
        once_more(Item(code="000007", name="x"), code="000008"),
        once_more(Item(code="000007", name="x"), code="000008", name="X", name_folded=None),
        once_more(Item(code="000007", name="x"), name="y", name_folded=None),
        once_more(Code(code="000007", drawn_at=AT)),
        once_more(Entry(slug="s", title="S", area="A")),
        once_more(EntryRevision(entry_id=1, number=1, text="x", digest="x", at=AT, by="x")),
        once_more(a_fault(client_key="k")),
        once_more(a_link(), from_port="other"),
        once_more(a_link(), to_port="other"),
        once_more(a_link(cable_id=3), from_port="other", to_port="other"),
        once_more(ServiceItem(service_id=1, item_id=1)),
        once_more(Loan(item_id=1, borrower="x", out_at=AT)),
        once_more(Spare(name="x", minimum=1)),
        once_more(SpareModel(spare_id=1, model_id=1)),
    ],
    ids=lambda rows: type(rows[0]).__name__,
)
def test_what_is_unique_is_not_there_twice(bare: Session, rows: list[SQLModel]) -> None:
    bare.add_all([type(row)(**row.model_dump()) for row in rows])
    with pytest.raises(IntegrityError, match="UNIQUE constraint failed"):
        bare.flush()


@pytest.mark.parametrize(
    "rows",
    [
        once_more(Person(name="M.O.", forgotten_at=AT)),
        once_more(Model(maker="A", name="B", merged_into_id=1)),
        once_more(Place(name="R1", kind="rack", parent_id=1, retired_at=AT)),
        once_more(Item(code="000007", name="x", state="retired"), code="000008"),
        once_more(a_fault(client_key=None)),
        once_more(a_link(until=AT)),
        once_more(ServiceItem(service_id=1, item_id=1, removed_at=AT)),
        once_more(Loan(item_id=1, borrower="x", out_at=AT, back_at=AT)),
        once_more(Spare(name="x", minimum=1, removed_at=AT)),
        once_more(SpareModel(spare_id=1, model_id=1, removed_at=AT)),
    ],
    ids=lambda rows: type(rows[0]).__name__,
)
def test_what_is_out_of_use_takes_no_name_or_port(bare: Session, rows: list[SQLModel]) -> None:
    bare.add_all([type(row)(**row.model_dump()) for row in rows])
    bare.flush()


@pytest.mark.parametrize(
    "row",
    [
        Item(code="000009", name="x", model_id=99),
        StateSpell(item_id=99, state="fit", since=AT),
        a_link(to_item_id=99),
        Loan(item_id=99, borrower="x", out_at=AT),
        a_fault(show_id=99),
    ],
    ids=lambda row: type(row).__name__,
)
def test_a_row_that_names_nothing_is_refused(bare: Session, row: SQLModel) -> None:
    bare.add(type(row)(**row.model_dump()))
    with pytest.raises(IntegrityError, match="FOREIGN KEY constraint failed"):
        bare.flush()


def test_a_time_comes_back_in_utc_whatever_zone_it_had(bare: Session) -> None:
    there = timezone(timedelta(hours=9))
    bare.add(a_show(air_at=datetime(2026, 3, 19, 21, 0, tzinfo=there)))
    bare.flush()
    bare.expire_all()
    found = bare.scalars(select(Show.air_at)).one()
    assert found == AT
    assert found.tzinfo is UTC


def test_a_time_without_a_zone_is_a_defect_of_the_caller(bare: Session) -> None:
    bare.add(a_show(air_at=datetime(2026, 3, 19, 21, 0)))  # noqa: DTZ001 - naive on purpose
    with pytest.raises(StatementError, match="naive time"):
        bare.flush()


def test_a_new_item_has_its_name_folded_for_look_ups(bare: Session) -> None:
    bare.add(Item(code="000009", name="GERÄT Ä1"))
    bare.flush()
    assert bare.scalars(select(Item.name_folded).where(Item.code == "000009")).one() == "gerät ä1"
    assert bare.scalars(select(Item.name_order).where(Item.code == "000009")).one() == "gerät ä011"


def test_every_constraint_has_a_name() -> None:
    # SQLite's tables are rebuilt to be altered, and only what has a name is carried over.
    for table in METADATA.sorted_tables:
        for constraint in table.constraints:
            assert constraint.name, constraint


@pytest.mark.parametrize(
    ("table", "column", "words"),
    [
        (Person, "role", kinds.Role),
        (Place, "kind", kinds.PlaceKind),
        (Item, "state", kinds.ItemState),
        (StateSpell, "state", kinds.ItemState),
        (Fault, "effect", kinds.Effect),
        (Fault, "cause_kind", kinds.CauseKind),
        (Fault, "cable_end", kinds.CableEnd),
        (Attempt, "outcome", kinds.Outcome),
        (Service, "kind", kinds.ServiceKind),
        (ServiceItem, "result", kinds.Result),
        (Show, "kind", kinds.ShowKind),
        (Entry, "status", kinds.EntryStatus),
    ],
)
def test_a_column_takes_each_word_of_its_kind(
    table: type[SQLModel], column: str, words: type[StrEnum]
) -> None:
    checks = [
        str(constraint.sqltext)
        for constraint in METADATA.tables[str(table.__tablename__)].constraints
        if isinstance(constraint, CheckConstraint)
    ]
    (known,) = [check for check in checks if f"{column} IN (" in check]
    listed = known.split(" IN (")[1].rstrip(")").replace("'", "").split(", ")
    assert sorted(listed) == sorted(word.value for word in words)


def test_every_record_has_a_key_and_a_version() -> None:
    for table in Record.__subclasses__():
        assert {"id", "version"} <= set(METADATA.tables[str(table.__tablename__)].columns.keys())
    with pytest.raises(RuntimeError, match="not stored yet"):
        _ = Item(code="000009", name="x").key
