"""Workspaces to back up, break and bring back; a PostgreSQL server where one is installed."""

import os
import secrets
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import psycopg
import pytest
from schemas import NEXT, PRESENT
from sqlalchemy import Engine

from kb.records import creating, journal, opening, revision, session, workspace
from kb.records.settings import Settings
from kb.records.tables.entries import Entry, EntryRevision
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Code, Item, Model, Place
from kb.records.unit import RecordSession, Writer
from kb.records.workspace import Workspace

Rows = dict[str, list[tuple[object, ...]]]
_NOON = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)

ANOTHER_MIGRATION = '''"""A column more."""

import sqlalchemy as sa
from alembic import op

revision = "NEXT"
down_revision = "PRESENT"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("item") as batch:
        batch.add_column(sa.Column("colour", sa.String(), nullable=True))
'''


@pytest.fixture(scope="session")
def _filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("template") / "studio"
    settings = Settings(zone="Europe/London", log_began=date(2026, 1, 1))
    with workspace.building(folder, settings) as made, creating.created(made) as engine:
        _fill(engine)
        (made.uploads / "cable.jpg").write_bytes(bytes(range(256)) * 40)
        (made.uploads / "2026").mkdir()
        (made.uploads / "2026" / "Stecker größer.png").write_bytes(b"")
    return folder


@pytest.fixture
def studio(_filled: Path, tmp_path: Path) -> Workspace:
    """A workspace of its own with rows in it, uploads, and an index that was made."""
    folder = tmp_path / "studio"
    shutil.copytree(_filled, folder)
    (folder / "index").mkdir()
    (folder / "index" / "entries.json").write_text("{}")
    return workspace.opened(folder)


@pytest.fixture
def studio_engine(studio: Workspace) -> Iterator[Engine]:
    opened = opening.open_engine(studio)
    yield opened
    opened.dispose()


@pytest.fixture
def newer_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make the program one that knows one migration more; the folder of migrations."""
    migrations = tmp_path / "migrations"
    shutil.copytree(revision.MIGRATIONS, migrations, ignore=shutil.ignore_patterns("__pycache__"))
    text = ANOTHER_MIGRATION.replace("NEXT", NEXT).replace("PRESENT", PRESENT)
    (migrations / "versions" / f"{NEXT}_a_column_more.py").write_text(text)
    monkeypatch.setattr(revision, "MIGRATIONS", migrations)
    return migrations


@pytest.fixture
def rows() -> Callable[[Path], Rows]:
    """Return every row of every table of an SQLite file, but for the mark of the base."""
    return _rows


@pytest.fixture
def files() -> Callable[[Path], dict[str, bytes]]:
    """Return every file below a folder, but for SQLite's own logs."""
    return _files


@pytest.fixture(scope="session")
def _server() -> Iterator[str]:
    """A PostgreSQL server on a socket of its own; nothing of it is reached by network."""
    if shutil.which("initdb") is None:
        pytest.skip("PostgreSQL isn't installed")
    owner = "postgres" if os.geteuid() == 0 else None  # it refuses to run as root
    with tempfile.TemporaryDirectory(prefix="kitlore-pg-") as made:
        folder = Path(made)
        if owner:
            shutil.chown(folder, owner)
        data = str(folder / "data")
        start = f"-k {folder} -c listen_addresses='' -c fsync=off"
        log = str(folder / "log")
        _run(owner, "initdb", "-D", data, "-U", "crew", "-A", "trust", "--no-sync", "-E", "UTF8")
        _run(owner, "pg_ctl", "-D", data, "-w", "-o", start, "-l", log, "start")
        try:
            yield str(folder)
        finally:
            _run(owner, "pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")


def _run(user: str | None, *command: str) -> None:
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd="/", user=user)


@pytest.fixture
def server_database(request: pytest.FixtureRequest) -> str:
    """The URL of an empty database: on the server that is named, else on one of our own."""
    if os.environ.get("KITLORE_TEST_POSTGRESQL"):
        return str(request.getfixturevalue("postgresql"))
    folder = request.getfixturevalue("_server")
    name = f"kitlore_{secrets.token_hex(6)}"
    with psycopg.connect(f"host={folder} user=crew dbname=postgres", autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}".encode())
    return f"postgresql+psycopg://crew:hush@/{name}?host={folder}"


@pytest.fixture
def server_studio(server_database: str, tmp_path: Path) -> Workspace:
    """A workspace whose base lies on a server, with rows in it."""
    folder = tmp_path / "sites"
    settings = Settings(zone="Europe/London", database=server_database)
    with workspace.building(folder, settings) as made, creating.created(made) as opened:
        _fill(opened)
    return workspace.opened(folder)


def _fill(engine: Engine) -> None:
    """Write rows of many kinds, some of which name rows that come after them."""
    with session.begin(engine, Writer("M.O.", "phone", _NOON)) as unit:
        _fill_gear(unit)
    with session.begin(engine, Writer("Zoë", "terminal", _NOON)) as unit:
        journal.for_change(unit, Model, 1).merged_into_id = 2
        journal.for_change(unit, Place, 1).parent_id = 2
        _fill_faults(unit)


def _fill_gear(unit: RecordSession) -> None:
    unit.add(Model(maker="Ossprell", name="Ribbonet 3", equipment_class="cable"))
    unit.flush()
    technical = {"length": "3 m", "ends": ["A", "B"], "nothing": None}
    unit.add(Model(maker="Ossprell", name="Ribbonet III", technical=technical))
    unit.add(Place(name="Rack 1", kind="rack"))
    unit.flush()
    unit.add(Place(name="Machine room", kind="room"))
    unit.flush()
    item = Item(code="K7M4XV", name="HD-01", model_id=2, place_id=1, price_minor=1450)
    item.in_service = date(2025, 5, 19)
    unit.add(item)
    unit.flush()
    unit.add(Code(code="K7M4XV", item_id=item.key, drawn_at=_NOON))
    unit.add(Code(code="Q2R9TW", place_id=1, drawn_at=_NOON))


def _fill_faults(unit: RecordSession) -> None:
    unit.add(Entry(slug="no-picture", title="No picture", area="Video"))
    unit.flush()
    unit.add(
        EntryRevision(
            entry_id=1, number=1, text="## Größe\n\n“ok” 🎬", digest="0" * 64, at=_NOON, by="Zoë"
        ),
    )
    unit.add(Fault(text="pink all over", noticed_at=_NOON, reporter="Zoë", seen_item_id=1))
    unit.flush()
    unit.add(
        Attempt(
            fault_id=1,
            entry_id=1,
            fix_key="replug",
            outcome="worked",
            minutes=0.5,
            at=_NOON,
            by="M.O.",
        ),
    )


def _rows(path: Path) -> Rows:
    with closing(sqlite3.connect(path)) as connection:
        names = [
            name
            for (name,) in connection.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name",
            )
            if name not in ("base", "sqlite_sequence")
        ]
        return {name: _table(connection, name) for name in names}


def _table(connection: sqlite3.Connection, name: str) -> list[tuple[object, ...]]:
    return sorted(connection.execute(f'SELECT * FROM "{name}"'), key=repr)  # noqa: S608


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(("-wal", "-shm"))
    }
