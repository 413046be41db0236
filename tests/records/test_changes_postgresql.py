"""The change feed on PostgreSQL: rows become visible out of order, and none is skipped."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass

import pytest
from sqlalchemy import Engine, text
from sqlmodel import col, select

from kb.errors import BusyError, ConflictError
from kb.records import changes, journal, migrate
from kb.records import session as units
from kb.records.changes import Feed
from kb.records.position import Position
from kb.records.tables.gear import Model
from kb.records.tables.journal import Base, Change
from kb.records.unit import RecordSession, Writer


@pytest.fixture
def server(postgresql: str, writer: Writer) -> Iterator[Engine]:
    """An engine on a base of PostgreSQL."""
    engine = units.engine_for(postgresql)
    migrate.upgrade(engine)
    with units.begin(engine, writer) as session:
        session.add(Base(mark="a base for tests"))
    yield engine
    engine.dispose()


@dataclass
class Unit:
    """A unit of work that goes on until it's closed."""

    session: RecordSession
    close: Callable[[], None]


@pytest.fixture
def open_unit(server: Engine, writer: Writer) -> Iterator[Callable[[], Unit]]:
    with ExitStack() as every:

        def opened() -> Unit:
            stack = every.enter_context(ExitStack())
            return Unit(stack.enter_context(units.begin(server, writer)), stack.close)

        yield opened


def added(unit: Unit, name: str) -> int:
    model = Model(maker="Ossprell", name=name)
    unit.session.add(model)
    unit.session.flush()
    return model.key


def since(server: Engine, position: Position | None) -> Feed:
    with units.read(server) as session:
        return changes.since(session, position)


def names(server: Engine, feed: Feed) -> list[str]:
    keys = [key for kind, key in feed.changed if kind == "model"]
    with units.read(server) as session:
        found = session.scalars(select(Model.name).where(col(Model.id).in_(keys)))
        return sorted(found)


def test_a_row_of_a_lower_number_that_comes_later_is_not_skipped(
    server: Engine, open_unit: Callable[[], Unit]
) -> None:
    start = since(server, None).position
    slow, quick = open_unit(), open_unit()
    added(slow, "slow")
    added(quick, "quick")
    quick.close()
    with units.read(server) as session:
        assert len(session.scalars(select(Change.id)).all()) == 1
    first = since(server, start)
    assert names(server, first) == ["quick"], "nothing waits for the slow one"
    slow.close()
    with units.read(server) as session:
        rows = session.execute(select(Change.id, Change.record_id).order_by(col(Change.id)))
        by_number = [session.get_one(Model, key).name for _id, key in rows]
    assert by_number == ["slow", "quick"], "the order of the numbers is not that of coming"
    second = since(server, first.position)
    assert names(server, second) == ["slow"]
    assert since(server, second.position).changed == ()


def test_nothing_waits_for_a_long_running_transaction(
    server: Engine, open_unit: Callable[[], Unit]
) -> None:
    position = since(server, None).position
    long = open_unit()
    added(long, "long")
    for number in range(5):
        short = open_unit()
        added(short, f"short {number}")
        short.close()
        feed = since(server, position)
        assert names(server, feed) == [f"short {number}"], "each at once, and once"
        position = feed.position
    assert len(position.taken) == 5
    long.close()
    feed = since(server, position)
    assert names(server, feed) == ["long"]
    assert feed.position.taken == frozenset(), "what is behind the horizon isn't remembered"


def test_a_transaction_that_was_taken_back_is_in_nobodys_way(
    server: Engine, open_unit: Callable[[], Unit]
) -> None:
    position = since(server, None).position
    failed, kept = open_unit(), open_unit()
    added(failed, "failed")
    added(kept, "kept")
    kept.close()
    first = since(server, position)
    failed.session.rollback()
    failed.close()
    later = open_unit()
    added(later, "later")
    later.close()
    second = since(server, first.position)
    assert (names(server, first), names(server, second)) == (["kept"], ["later"])
    assert second.position.taken == frozenset()


def test_who_starts_anew_amid_a_transaction_is_told_of_it_later(
    server: Engine, open_unit: Callable[[], Unit]
) -> None:
    slow, quick = open_unit(), open_unit()
    added(slow, "slow")
    added(quick, "quick")
    quick.close()
    start = since(server, None)
    assert (start.whole, start.changed) == (True, ())
    slow.close()
    feed = since(server, start.position)
    assert (feed.whole, names(server, feed)) == (False, ["slow"])


def test_a_position_survives_between_two_readings(
    server: Engine, open_unit: Callable[[], Unit]
) -> None:
    position = since(server, None).position
    slow, quick = open_unit(), open_unit()
    added(slow, "slow")
    added(quick, "quick")
    quick.close()
    first = since(server, position)
    slow.close()
    kept = Position("a base for tests", first.position.start, first.position.taken)
    assert kept == first.position
    assert names(server, since(server, kept)) == ["slow"]


def test_a_reader_sees_one_state(server: Engine, open_unit: Callable[[], Unit]) -> None:
    with units.read(server) as reading:
        assert reading.scalars(select(Model.name)).all() == []
        unit = open_unit()
        added(unit, "meanwhile")
        unit.close()
        assert reading.scalars(select(Model.name)).all() == []


def test_what_breaks_a_constraint_is_a_conflict(server: Engine, writer: Writer) -> None:
    def twice() -> None:
        with units.begin(server, writer) as session:
            session.add_all([Model(maker="A", name="B"), Model(maker="A", name="B")])

    with pytest.raises(ConflictError, match="ix_model_maker_name_in_use"):
        twice()


def test_a_record_is_locked_for_the_unit_of_work(
    server: Engine, open_unit: Callable[[], Unit], writer: Writer
) -> None:
    first = open_unit()
    key = added(first, "Ribbonet 3")
    first.close()
    holding = open_unit()
    journal.for_change(holding.session, Model, key)

    def wait() -> None:
        with units.begin(server, writer) as session:
            session.execute(text("SET LOCAL lock_timeout = '50ms'"))
            journal.for_change(session, Model, key)

    with pytest.raises(BusyError, match="Somebody else is writing the same records"):
        wait()
