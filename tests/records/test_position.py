"""How far a reader has read survives as a line of text, and is asked of a file cheaply."""

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from kb.records import changes, position
from kb.records import session as units
from kb.records.position import Position
from kb.records.tables.gear import Model
from kb.records.unit import Writer

few = settings(max_examples=60, deadline=None)


@few
@given(st.text(max_size=20), st.integers(0, 10**12), st.frozensets(st.integers(0, 10**6)))
def test_a_position_survives_as_a_line_of_text(
    base: str, start: int, taken: frozenset[int]
) -> None:
    found = Position(base, start, taken)
    assert len(found.dumps().splitlines()) == 1
    assert position.loads(found.dumps()) == found


@pytest.mark.parametrize(
    "dumped", [None, "", "x", "[]", "5", "null", '["a", "b", []]', '["a",1,2]', '["a",1,["b"]]']
)
def test_what_is_no_position_is_none(dumped: str | None) -> None:
    assert position.loads(dumped) is None


def test_a_file_tells_the_position_of_who_has_read_all_of_it(
    base_file: Path, opened: Callable[[], Engine], writer: Writer
) -> None:
    engine = opened()
    for name in ("Ribbonet 3", "Stout 2"):
        with units.begin(engine, writer) as session:
            session.add(Model(maker="Ossprell", name=name))
        with units.read(engine) as session:
            assert position.of_file(base_file) == changes.since(session, None).position


def test_a_file_that_can_not_be_asked_tells_nothing(tmp_path: Path) -> None:
    (tmp_path / "other.db").write_bytes(b"no database at all")
    assert position.of_file(tmp_path / "other.db") is None
    assert position.of_file(tmp_path / "missing.db") is None
    assert not (tmp_path / "missing.db").exists()


def test_a_file_is_asked_where_nothing_can_be_made_beside_it(
    base_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    connect = sqlite3.connect

    def refuse(address: str, **given: Any) -> sqlite3.Connection:  # noqa: ANN401 - the driver's own
        """Refuse as SQLite does where it can't make its index of the log."""
        if "immutable" not in address:
            raise sqlite3.OperationalError("unable to open database file")
        connection: sqlite3.Connection = connect(address, **given)
        return connection

    told = position.of_file(base_file)
    monkeypatch.setattr(sqlite3, "connect", refuse)
    assert position.of_file(base_file) == told
    # What stands in a log would be missed so.
    base_file.with_name("kitlore.db-wal").write_bytes(b"a page")
    assert position.of_file(base_file) is None
