from pathlib import Path

import pytest
from sqlalchemy import inspect, text
from sqlmodel import select

from kb.errors import StorageError
from kb.records import creating, opening, session, workspace
from kb.records.settings import Settings
from kb.records.tables.gear import Model
from kb.records.tables.journal import Base
from kb.records.unit import Writer
from kb.records.workspace import Workspace


def _made(folder: Path, settings: Settings) -> Workspace:
    with workspace.building(folder, settings) as made, creating.created(made):
        pass
    return workspace.opened(folder)


def test_a_new_base_opens_and_has_a_mark_of_its_own(tmp_path: Path) -> None:
    marks = set()
    for name in ("one", "two"):
        with session.read(opening.open_engine(_made(tmp_path / name, Settings()))) as unit:
            marks.add(unit.scalars(select(Base.mark)).one())
    assert len(marks) == 2
    assert all(len(mark) == 32 for mark in marks)


def test_a_failure_of_the_caller_leaves_nothing(tmp_path: Path) -> None:
    with (
        pytest.raises(RuntimeError, match="the caller's"),
        workspace.building(tmp_path / "studio", Settings()) as made,
        creating.created(made),
    ):
        raise RuntimeError("the caller's")
    assert list(tmp_path.iterdir()) == []


def test_no_log_is_left_beside_the_file(tmp_path: Path) -> None:
    folder = _made(tmp_path / "studio", Settings()).folder
    assert sorted(p.name for p in folder.iterdir()) == [
        "backups",
        "kitlore.db",
        "kitlore.toml",
        "uploads",
    ]


@pytest.mark.slow
def test_a_failure_leaves_nothing_on_a_server(
    tmp_path: Path, server_database: str, writer: Writer
) -> None:
    settings = Settings(database=server_database)

    def fill() -> None:
        with (
            workspace.building(tmp_path / "studio", settings) as made,
            creating.created(made) as engine,
        ):
            with session.begin(engine, writer) as unit:
                unit.add(Model(maker="Ossprell", name="Ribbonet 3"))
            raise RuntimeError("the caller's")

    with pytest.raises(RuntimeError, match="the caller's"):
        fill()
    engine = session.engine_for(server_database)
    assert inspect(engine).get_table_names() == []
    engine.dispose()
    _made(tmp_path / "studio", settings)


@pytest.mark.slow
def test_a_database_in_use_is_left_alone(tmp_path: Path, server_database: str) -> None:
    engine = session.engine_for(server_database)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE payroll (id integer)"))
    with pytest.raises(StorageError, match="isn't empty: it holds 'payroll'") as caught:
        _made(tmp_path / "studio", Settings(database=server_database))
    assert "hush" not in caught.value.message
    assert inspect(engine).get_table_names() == ["payroll"]
    engine.dispose()
