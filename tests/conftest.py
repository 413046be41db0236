"""A base with the true schema for each test, at almost no cost: copied from one that was migrated.

In memory, so a test that needs a second connection or a file makes one from `base_file`.
"""

import os
import secrets
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import calls
import pytest
from sqlalchemy import Engine, create_engine

from kb.demo import build, story
from kb.records import migrate, opening, workspace
from kb.records import session as units
from kb.records.tables.journal import Base
from kb.records.unit import RecordSession, Writer

# Sweeps through faces, disk and every shipped file: left out of the inner loop, never of CI.
WIDE = frozenset(
    {"browser", "cli", "demo", "exchange", "labels", "records", "search", "web", "whole"}
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what is wide."""
    here = Path(__file__).parent
    for item in items:
        folder, name = item.path.relative_to(here).parts[0], item.path.name
        if (folder in WIDE and name != "test_shape.py") or "shipped" in item.name:
            item.add_marker(pytest.mark.wide)


@pytest.fixture
def at() -> datetime:
    """The time now, as far as a test goes."""
    return datetime(2026, 3, 19, 12, 0, tzinfo=UTC)


@pytest.fixture
def writer(at: datetime) -> Writer:
    return Writer("M.O.", "terminal", at)


@pytest.fixture(scope="session")
def _migrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of an empty base that the real migrations made."""
    path = tmp_path_factory.mktemp("migrated") / "kitlore.db"
    engine = units.engine_for(f"sqlite:///{path}")
    migrate.upgrade(engine)
    with units.begin(engine, Writer("test", "test", datetime(2026, 1, 1, tzinfo=UTC))) as unit:
        unit.add(Base(mark="a base for tests"))
    engine.dispose()
    return path


@pytest.fixture(scope="session")
def _template(_migrated: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(_migrated)) as connection:
        yield connection


@pytest.fixture(scope="session")
def _in_memory() -> Iterator[Engine]:
    """One engine for all tests: what it has compiled for one it needn't compile for another."""
    engine = units.engine_for("sqlite://")
    yield engine
    engine.dispose()


@pytest.fixture
def engine(_template: sqlite3.Connection, _in_memory: Engine) -> Engine:
    """An engine on an empty base in memory; of one thread, and one connection at a time."""
    with _in_memory.connect() as connection:
        _template.backup(connection.connection.driver_connection)  # type: ignore[arg-type]
    return _in_memory.execution_options()  # what a test listens to is its own


@pytest.fixture
def session(engine: Engine, writer: Writer) -> Iterator[RecordSession]:
    """A unit of work that writes."""
    with units.begin(engine, writer) as unit:
        yield unit


@pytest.fixture
def base_file(_migrated: Path, tmp_path: Path) -> Path:
    """The file of an empty base."""
    return Path(shutil.copy(_migrated, tmp_path / "kitlore.db"))


@pytest.fixture
def opened(base_file: Path) -> Iterator[Callable[[], Engine]]:
    """Open the file of an empty base, as another program would; a writer waits for no other."""
    made: list[Engine] = []

    def another() -> Engine:
        made.append(units.engine_for(f"sqlite:///{base_file}", busy_seconds=0))
        return made[-1]

    yield another
    for engine in made:
        engine.dispose()


@pytest.fixture
def postgresql() -> Iterator[str]:
    """The URL of an empty database on the server that KITLORE_TEST_POSTGRESQL names."""
    given = os.environ.get("KITLORE_TEST_POSTGRESQL")
    if not given:
        pytest.skip("KITLORE_TEST_POSTGRESQL names no server")
    server = create_engine(given, isolation_level="AUTOCOMMIT")
    name = f"kitlore_{secrets.token_hex(6)}"
    with server.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
        yield server.url.set(database=name).render_as_string(hide_password=False)
        connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")
    server.dispose()


@pytest.fixture(scope="session")
def demo_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the invented studio, built once; a test that writes takes a copy."""
    folder = tmp_path_factory.mktemp("demo") / "thrennow-house"
    told = story.load()
    with workspace.building(folder, build.settings(told)) as made:
        build.fill(made, told, made.now(calls.NOW))
    return folder


@pytest.fixture(scope="session")
def demo_copy(demo_made: Path) -> Callable[[Path], Path]:
    """Return what copies the invented studio to a folder, as one lies there that nobody uses."""
    unused = shutil.ignore_patterns("*.db-wal", "*.db-shm")

    def copied(folder: Path) -> Path:
        shutil.copytree(demo_made, folder, ignore=unused)
        return folder

    return copied


@pytest.fixture(scope="session")
def demo_engine(demo_made: Path) -> Iterator[Engine]:
    """An engine on the invented studio's base; for reading only."""
    opened = opening.open_engine(workspace.opened(demo_made))
    yield opened
    opened.dispose()


@pytest.fixture
def demo(demo_engine: Engine) -> Iterator[RecordSession]:
    """A unit of work that reads the invented studio's base."""
    with units.read(demo_engine) as unit:
        yield unit
