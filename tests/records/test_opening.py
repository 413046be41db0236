import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from schemas import NEXT
from sqlmodel import select

from kb.errors import BusyError, StorageError
from kb.records import opening, revision, session, upgrading
from kb.records.tables.gear import Item
from kb.records.unit import Writer
from kb.records.workspace import Workspace


def test_a_base_of_this_program_opens_as_it_is(
    studio: Workspace, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(upgrading, "bring_up")
    with session.begin(opening.open_engine(studio), writer) as unit:
        assert unit.scalars(select(Item.name)).one() == "HD-01"
    assert list(studio.backups.iterdir()) == []


def test_opening_waits_for_no_writer(studio: Workspace) -> None:
    with closing(sqlite3.connect(studio.database, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with session.read(opening.open_engine(studio)) as unit:
            assert unit.scalars(select(Item.name)).one() == "HD-01"


def test_a_writer_is_told_that_another_holds_the_base(studio: Workspace, writer: Writer) -> None:
    opening.open_engine(studio).dispose()
    impatient = session.engine_for(studio.url, busy_seconds=0)
    with closing(sqlite3.connect(studio.database, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BusyError, match="Somebody else is writing"):
            session.begin(impatient, writer).__enter__()


def test_a_missing_database_is_not_made_anew(studio: Workspace) -> None:
    studio.database.unlink()
    with pytest.raises(StorageError, match=r"kitlore.db is missing. Bring back a backup"):
        opening.open_engine(studio)
    assert not studio.database.exists()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "holds no base of Kitlore"),
        (b"no database at all " * 400, "is damaged: it is no database any more"),
    ],
)
def test_a_file_that_is_no_base_is_named(studio: Workspace, content: bytes, sentence: str) -> None:
    studio.database.write_bytes(content)
    with pytest.raises(StorageError, match=sentence):
        opening.open_engine(studio)


def test_a_truncated_database_is_told_not_traced(studio: Workspace) -> None:
    whole = studio.database.read_bytes()
    studio.database.write_bytes(whole[: len(whole) // 3])
    with pytest.raises(StorageError, match=r"is damaged. Stop writing to it"):
        opening.open_engine(studio)


def test_a_newer_base_is_refused_and_stays_as_it_is(studio: Workspace) -> None:
    with closing(sqlite3.connect(studio.database)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(StorageError, match="written by a newer kitlore \\(schema 9999"):
        opening.open_engine(studio)
    assert list(studio.backups.iterdir()) == []


@pytest.mark.usefixtures("newer_program")
def test_an_older_base_is_brought_up_to_date(studio: Workspace) -> None:
    engine = opening.open_engine(studio)
    with engine.connect() as connection:
        assert revision.current(connection) == NEXT


@pytest.mark.slow
def test_opening_loads_neither_alembic_nor_what_copies(studio: Workspace) -> None:
    asked = (
        "import sys; from pathlib import Path; from kb.records import opening, workspace; "
        "opening.open_engine(workspace.opened(Path(sys.argv[1]))); "
        "print({'alembic', 'kb.records.backup'} & set(sys.modules))"
    )
    told = subprocess.run(
        [sys.executable, "-c", asked, studio.folder], check=True, capture_output=True, text=True
    )
    assert told.stdout == "set()\n"
