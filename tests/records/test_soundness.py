import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from kb.errors import StorageError
from kb.records import soundness
from kb.records.workspace import Workspace


def test_nothing_is_wrong_with_a_sound_file(studio: Workspace) -> None:
    assert soundness.of_file(studio.database) == ()


def test_a_row_that_names_nothing_is_told(studio: Workspace) -> None:
    with closing(sqlite3.connect(studio.database)) as connection, connection:
        connection.execute("UPDATE attempt SET fault_id = 77")
    assert soundness.of_file(studio.database) == (
        "1 row(s) of 'attempt' name a 'fault' that doesn't exist (the first is number 1).",
    )


def test_a_broken_rule_of_a_table_is_told(studio: Workspace) -> None:
    with closing(sqlite3.connect(studio.database)) as connection, connection:
        connection.execute("PRAGMA ignore_check_constraints=ON")
        connection.execute("UPDATE item SET state = 'gone fishing'")
    assert soundness.of_file(studio.database) == (
        "The database is damaged: CHECK constraint failed in item.",
    )


@pytest.mark.parametrize("page", [1, 4, 20])
def test_a_page_written_over_is_told(studio: Workspace, page: int) -> None:
    raw = bytearray(studio.database.read_bytes())
    raw[page * 4096 : page * 4096 + 100] = b"\xff" * 100
    studio.database.write_bytes(raw)
    (told,) = soundness.of_file(studio.database)
    assert "is damaged" in told


def test_a_truncated_file_is_told(studio: Workspace) -> None:
    studio.database.write_bytes(studio.database.read_bytes()[:-4096])
    (told,) = soundness.of_file(studio.database)
    assert "is damaged" in told


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "x.db").write_bytes(b"\x00\xff" * 5000)
    assert soundness.of_file(tmp_path / "x.db") == ("x.db is damaged: file is not a database.",)


def test_a_missing_file_is_no_finding_but_an_error(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match=r"can't be opened. It is missing"):
        soundness.of_file(tmp_path / "gone.db")
    assert not (tmp_path / "gone.db").exists()
