"""One transaction a unit of work, or nothing; safe against a power cut."""

import sqlite3
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import col, func, select

from kb.errors import BusyError, ConflictError, StorageError
from kb.records import session as units
from kb.records import unit
from kb.records.tables.crew import Person
from kb.records.tables.gear import Item, Model
from kb.records.tables.journal import Change, History
from kb.records.unit import RecordSession, Writer

Opened = Callable[[], Engine]
TABLES = (Model, Item, Person, History, Change)


def count(engine: Engine) -> dict[str, int]:
    with units.read(engine) as session:
        return {
            str(table.__tablename__): session.scalars(
                select(func.count()).select_from(table),
            ).one()
            for table in TABLES
        }


def a_model(name: str = "Ribbonet 3") -> Model:
    return Model(maker="Ossprell", name=name)


def test_every_connection_is_safe(opened: Opened) -> None:
    # SQLite's manual (sqlite.org/pragma.html): journal_mode wal, synchronous FULL is 2.
    engine = opened()
    with units.connect_to_read(engine) as first, units.connect_to_read(engine) as second:
        for connection in (first, second):
            found = [
                connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("foreign_keys", "journal_mode", "synchronous")
            ]
            assert found == [1, "wal", 2]


def test_a_base_that_can_not_be_kept_safe_is_refused(
    base_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Forgetful(sqlite3.Connection):
        """One of a library that leaves foreign keys out."""

        def execute(self, sql: str, *given: object) -> sqlite3.Cursor:
            return super().execute(sql.replace("foreign_keys=ON", "foreign_keys=OFF"), *given)  # type: ignore[arg-type]

    connect = sqlite3.dbapi2.connect
    monkeypatch.setattr(
        sqlite3.dbapi2, "connect", lambda *a, **k: connect(*a, **{**k, "factory": Forgetful})
    )
    engine = units.engine_for(f"sqlite:///{base_file}")
    with pytest.raises(StorageError, match="can't be kept safe here"), units.read(engine):
        pass
    engine.dispose()


def test_a_unit_of_work_is_kept_at_its_end(opened: Opened, writer: Writer) -> None:
    engine, other = opened(), opened()
    with units.begin(engine, writer) as session:
        session.add(a_model())
        session.flush()
        assert count(other)["model"] == 0, "nobody sees half of it"
    assert count(other)["model"] == 1


def test_a_unit_of_work_that_fails_leaves_nothing(opened: Opened, writer: Writer) -> None:
    engine = opened()
    before = count(engine)

    def fail() -> None:
        with units.begin(engine, writer) as session:
            session.add(a_model())
            session.flush()
            raise LookupError

    with pytest.raises(LookupError):
        fail()
    assert count(engine) == before


def test_a_commit_that_fails_leaves_nothing(opened: Opened, writer: Writer) -> None:
    engine = opened()
    before = count(engine)

    def fail() -> None:
        with units.begin(engine, writer) as session:
            # Checked at the commit only, so that it's the commit that fails.
            session.connection().exec_driver_sql("PRAGMA defer_foreign_keys=ON")
            session.add(Item(code="000001", name="CC-01", model_id=99))
            session.flush()

    with pytest.raises(ConflictError, match="contradicts what is recorded"):
        fail()
    assert count(engine) == before
    with units.begin(engine, writer) as session:
        session.add(a_model())


def test_what_breaks_a_constraint_is_a_conflict(opened: Opened, writer: Writer) -> None:
    engine = opened()

    def twice() -> None:
        with units.begin(engine, writer) as session:
            session.add_all([a_model(), a_model()])

    with pytest.raises(
        ConflictError, match=r"UNIQUE constraint failed: model\.maker, model\.name"
    ):
        twice()


def test_a_disk_without_room_leaves_nothing(opened: Opened, writer: Writer) -> None:
    engine = opened()
    before = count(engine)

    def fail() -> None:
        with units.begin(engine, writer) as session:
            pages = session.connection().exec_driver_sql("PRAGMA page_count").scalar()
            session.connection().exec_driver_sql(f"PRAGMA max_page_count={pages}")
            session.add_all([a_model("x" * 1000 + str(number)) for number in range(300)])

    with pytest.raises(StorageError, match=r"no room left on the disk of .*kitlore\.db"):
        fail()
    assert count(engine) == before


def test_the_second_writer_is_told_that_somebody_writes(opened: Opened, writer: Writer) -> None:
    first, second = opened(), opened()
    with (
        units.begin(first, writer),
        pytest.raises(BusyError, match=r"Somebody else is writing to .*kitlore\.db"),
        units.begin(second, writer),
    ):
        pass
    with units.begin(second, writer) as session:
        session.add(a_model())
    assert count(first)["model"] == 1


def test_who_reads_waits_for_no_writer_and_sees_one_state(opened: Opened, writer: Writer) -> None:
    first, second = opened(), opened()
    with units.read(second) as reading:
        assert reading.scalars(select(func.count()).select_from(Model)).one() == 0
        with units.begin(first, writer) as session:
            session.add(a_model())
        assert reading.scalars(select(func.count()).select_from(Model)).one() == 0
    assert count(second)["model"] == 1


def test_what_only_reads_keeps_nothing(opened: Opened) -> None:
    engine = opened()
    with units.read(engine) as session:
        session.connection().exec_driver_sql(
            "INSERT INTO model VALUES (1, 1, 'A', 'B', '', '{}', NULL)"
        )
    assert count(engine)["model"] == 0


def test_a_base_that_became_newer_is_refused_by_an_engine_that_was_open(
    opened: Opened, writer: Writer
) -> None:
    running, newer = opened(), opened()
    with units.begin(running, writer) as session:
        session.add(a_model())
    with newer.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    for work in (units.begin(running, writer), units.read(running)):
        with (
            pytest.raises(
                StorageError, match=r"newer kitlore \(schema 9999; .* start 'kitlore serve'"
            ),
            work,
        ):
            pass


def test_an_empty_or_older_base_is_refused(tmp_path: Path) -> None:
    engine = units.engine_for(f"sqlite:///{tmp_path / 'empty.db'}")
    with pytest.raises(StorageError, match="older schema none"), units.read(engine):
        pass
    engine.dispose()


@pytest.fixture
def damaged(base_file: Path) -> Iterator[Engine]:
    content = base_file.read_bytes()
    base_file.write_bytes(b"no database" + content[11:])
    engine = units.engine_for(f"sqlite:///{base_file}")
    yield engine
    engine.dispose()


def test_a_file_that_is_no_database_is_told(damaged: Engine) -> None:
    told = "is damaged: it is no database any more"
    with pytest.raises(StorageError, match=told), units.read(damaged):
        pass


def test_a_file_that_is_missing_in_a_missing_folder_is_told(tmp_path: Path) -> None:
    engine = units.engine_for(f"sqlite:///{tmp_path / 'gone' / 'kitlore.db'}")
    with pytest.raises(StorageError, match=r"kitlore\.db can't be opened"), units.read(engine):
        pass


def test_the_writer_may_change_between_two_acts(session: RecordSession, writer: Writer) -> None:
    session.add(a_model())
    later = Writer("K.L.", "phone", writer.at + timedelta(hours=1))
    with pytest.raises(RuntimeError, match="flush before the writer changes"):
        unit.write_as(session, later)
    session.flush()
    unit.write_as(session, later)
    session.add(a_model("Stout 2"))
    session.flush()
    assert session.scalars(select(History.who).order_by(col(History.id))).all() == ["M.O.", "K.L."]
    assert unit.writer(session) == later
