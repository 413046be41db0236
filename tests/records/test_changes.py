"""The change feed on SQLite: each change once, in order, and a new start where it must be."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine, delete, event, update
from sqlmodel import Session

from kb.records import changes, journal
from kb.records import session as units
from kb.records.position import Position
from kb.records.tables.gear import Model, Place
from kb.records.tables.journal import Base, Change
from kb.records.unit import RecordSession, Writer


def a_model(name: str = "Ribbonet 3") -> Model:
    return Model(maker="Ossprell", name=name)


def read(session: Session, position: Position | None) -> Position:
    return changes.since(session, position).position


def test_who_has_read_nothing_starts_anew(session: RecordSession) -> None:
    session.add(a_model())
    session.flush()
    feed = changes.since(session, None)
    assert (feed.whole, feed.changed) == (True, ())
    again = changes.since(session, feed.position)
    assert (again.whole, again.changed) == (False, ())


def test_each_record_that_changed_is_told_once(session: RecordSession) -> None:
    position = read(session, None)
    first, second = a_model(), a_model("Stout 2")
    session.add(first)
    session.flush()
    session.add_all([second, Place(name="RR", kind="room")])
    session.flush()
    first.name = "Ribbonet III"
    session.flush()
    feed = changes.since(session, position)
    assert sorted(feed.changed) == [("model", 1), ("model", 2), ("place", 1)]
    assert changes.since(session, feed.position).changed == ()


def test_what_changes_after_it_was_read_is_told_again(session: RecordSession) -> None:
    session.add(a_model())
    session.flush()
    position = read(session, None)
    journal.for_change(session, Model, 1).name = "Stout 2"
    session.flush()
    assert changes.since(session, position).changed == (("model", 1),)


def test_what_hangs_on_a_record_changes_the_record(session: RecordSession) -> None:
    session.add(a_model())
    session.flush()
    position = read(session, None)
    journal.add_step(session, session.get_one(Model, 1), "items", "a", "b")
    assert changes.since(session, position).changed == (("model", 1),)


def test_what_was_taken_back_is_not_told(opened: Callable[[], Engine], writer: Writer) -> None:
    engine = opened()
    with units.read(engine) as session:
        position = read(session, None)

    def fail() -> None:
        with units.begin(engine, writer) as session:
            session.add(a_model())
            session.flush()
            raise LookupError

    with pytest.raises(LookupError):
        fail()
    with units.read(engine) as session:
        assert changes.since(session, position).changed == ()


def test_another_base_is_read_from_the_start(session: RecordSession) -> None:
    position = read(session, None)
    session.execute(update(Base).values(mark="a restored copy"))
    feed = changes.since(session, position)
    assert (feed.whole, feed.position.base) == (True, "a restored copy")
    assert not changes.since(session, feed.position).whole


def test_a_base_that_was_set_back_is_read_from_the_start(session: RecordSession) -> None:
    session.add_all([a_model(), a_model("Stout 2")])
    session.flush()
    position = read(session, None)
    session.execute(delete(Change))
    assert changes.since(session, position).whole


def test_a_number_is_never_given_twice(session: RecordSession) -> None:
    # Without AUTOINCREMENT the highest number would be given again after a deletion.
    session.add(a_model())
    session.flush()
    position = read(session, None)
    session.execute(delete(Change))
    session.add(a_model("Stout 2"))
    session.flush()
    assert changes.since(session, position).changed == (("model", 2),)


def test_to_ask_whether_one_is_behind_costs_little(session: RecordSession, engine: Engine) -> None:
    session.add_all([a_model(f"model {number}") for number in range(50)])
    session.flush()
    position = read(session, None)
    asked: list[str] = []
    event.listen(engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
    changes.since(session, position)
    assert len(asked) == 3
    plan = session.connection().exec_driver_sql(f"EXPLAIN QUERY PLAN {asked[-1]}", (51,)).all()
    assert "USING INTEGER PRIMARY KEY" in str(plan)
