"""What a base looks like after its writer is gone from one moment to the next."""

import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from schemas import NEXT, PRESENT
from sqlmodel import col, select

from kb.records import archive, backup, checkup, opening, session
from kb.records.tables.faults import Fault
from kb.records.tables.journal import Change
from kb.records.unit import Writer
from kb.records.workspace import Workspace

pytestmark = pytest.mark.slow

_WRITER = """
import sys
from datetime import datetime, UTC
from pathlib import Path
from kb.records import opening, schema, session, workspace
from kb.records.tables.faults import Fault
from kb.records.unit import Writer

at = datetime(2026, 3, 19, 19, 0, tzinfo=UTC)
engine = opening.open_engine(workspace.opened(Path(sys.argv[1])))
def log(unit, text):
    unit.add(Fault(text=text, noticed_at=at, reporter="M.O.", seen_item_id=1))
    unit.flush()
with session.begin(engine, Writer("M.O.", "terminal", at)) as unit:
    log(unit, "committed")
with session.begin(engine, Writer("M.O.", "terminal", at)) as unit:
    for number in range(2000):
        log(unit, f"not committed {number}")
    print("in the middle", flush=True)
    sys.stdin.read()
"""

_MIGRATING = """
import sys
from pathlib import Path
from kb.records import opening, revision, workspace

revision.MIGRATIONS = Path(sys.argv[2])
opening.open_engine(workspace.opened(Path(sys.argv[1])))
"""


def _killed_in_the_middle(studio: Workspace) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", _WRITER, studio.folder],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"in the middle\n"
        process.send_signal(signal.SIGKILL)
    assert process.returncode == -signal.SIGKILL


def test_what_was_committed_is_there_and_nothing_else(studio: Workspace, writer: Writer) -> None:
    _killed_in_the_middle(studio)
    assert studio.database.with_name("kitlore.db-wal").stat().st_size > 0
    engine = opening.open_engine(studio)
    with session.begin(engine, writer) as unit:
        texts = unit.scalars(select(Fault.text).order_by(col(Fault.id))).all()
        assert texts == ["pink all over", "committed"]
        told = unit.scalars(select(Change.record_id).where(Change.kind == "fault")).all()
        assert told == [1, 2]
        unit.add(Fault(text="later", noticed_at=writer.at, reporter="Zoë", seen_item_id=1))
    engine.dispose()
    assert checkup.check(studio.folder) == ()


def test_a_backup_made_right_after_has_it_too(
    studio: Workspace, at: datetime, tmp_path: Path
) -> None:
    _killed_in_the_middle(studio)
    archive.unpack(backup.make(studio, at), tmp_path / "to")
    with closing(sqlite3.connect(tmp_path / "to" / archive.DATABASE)) as connection:
        found = connection.execute("SELECT text FROM fault ORDER BY id").fetchall()
    assert found == [("pink all over",), ("committed",)]


def test_a_migration_that_is_killed_is_made_again(studio: Workspace, newer_program: Path) -> None:
    second = newer_program / "versions" / f"{NEXT}_a_column_more.py"
    whole = second.read_text()
    second.write_text(whole + "    import os, signal\n    os.kill(os.getpid(), signal.SIGKILL)\n")
    ended = subprocess.run(
        [sys.executable, "-c", _MIGRATING, studio.folder, newer_program], check=False
    )
    assert ended.returncode == -signal.SIGKILL
    second.write_text(whole)
    with closing(sqlite3.connect(studio.database)) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (
            PRESENT,
        )
        assert not connection.execute(
            "SELECT name FROM sqlite_master WHERE name LIKE '%tmp%'"
        ).fetchall()
    opening.open_engine(studio).dispose()
    assert checkup.check(studio.folder) == ()
    assert len(list(studio.backups.iterdir())) == 2
