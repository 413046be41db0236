"""Everything that named one record names the other, and the journal tells so."""

from datetime import UTC, datetime

from sqlmodel import select

from kb.records import journal, merging
from kb.records.schema import METADATA
from kb.records.tables.base import Record
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Code, Item, Place, Placement, StateSpell
from kb.records.tables.use import Link
from kb.records.unit import RecordSession

AT = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)


def three_items(session: RecordSession) -> None:
    for number in (1, 2, 3):
        session.add(Item(code=f"00000{number}", name=f"IT-0{number}"))
    session.flush()


def test_every_reference_follows_and_is_journalled(session: RecordSession) -> None:
    three_items(session)
    session.add_all(
        [
            Code(code="000001", item_id=1, drawn_at=AT),
            StateSpell(item_id=1, state="fit", since=AT),
            Placement(item_id=1, since=AT),
            Link(from_item_id=1, from_port="out", to_item_id=3, to_port="in", since=AT),
            Fault(text="dark", noticed_at=AT, reporter="M.O.", seen_item_id=1),
        ]
    )
    session.flush()
    assert merging.repoint(session, Item, 1, 2) == 5
    assert session.get_one(Code, "000001").item_id == 2
    assert session.scalars(select(Link.from_item_id)).one() == 2
    assert session.scalars(select(Link.to_item_id)).one() == 3
    for kind, column in (
        ("state_spell", "item_id"),
        ("placement", "item_id"),
        ("link", "from_item_id"),
        ("fault", "seen_item_id"),
    ):
        assert journal.steps(session, kind, 1)[-1].changes == {column: (1, 2)}


def test_a_table_may_be_left_as_it_is(session: RecordSession) -> None:
    three_items(session)
    session.add(StateSpell(item_id=1, state="fit", since=AT))
    session.flush()
    assert merging.repoint(session, Item, 1, 2, leaving=(StateSpell,)) == 0
    assert session.scalars(select(StateSpell.item_id)).one() == 1


def test_what_was_merged_before_follows_too(session: RecordSession) -> None:
    three_items(session)
    session.get_one(Item, 1).merged_into_id = 2
    session.flush()
    merging.repoint(session, Item, 2, 3)
    assert session.get_one(Item, 1).merged_into_id == 3


def test_a_table_that_names_itself_follows(session: RecordSession) -> None:
    session.add_all([Place(name="RR", kind="room"), Place(name="ST", kind="room")])
    session.flush()
    session.add(Place(name="R1", kind="rack", parent_id=1))
    session.flush()
    merging.repoint(session, Place, 1, 2)
    assert session.get_one(Place, 3).parent_id == 2


def test_every_foreign_key_of_every_table_is_reached() -> None:
    # A table that is no record and not the one of codes would be forgotten.
    known = {str(one.__tablename__) for one in Record.__subclasses__()} | {"code"}
    for table in METADATA.sorted_tables:
        if table.foreign_keys:
            assert table.name in known
        for key in table.foreign_keys:
            found = merging._references(key.column.table.name)
            assert (table.name, key.parent.name) in [
                (str(holder.__tablename__), column) for holder, column in found
            ]
