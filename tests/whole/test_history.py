"""Whatever is written leaves who, when, from what and to what; nothing public writes unseen."""

import importlib
import inspect
import pkgutil
import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import history_register as register
import pytest
from sqlalchemy import Engine
from sqlmodel import Session, col, select

import kb
from kb.records import changes
from kb.records import session as units
from kb.records.schema import METADATA
from kb.records.tables.base import Record
from kb.records.tables.journal import History
from kb.records.unit import Writer

KEPT = {
    str(table.__tablename__): [
        name
        for name in METADATA.tables[str(table.__tablename__)].columns.keys()  # noqa: SIM118
        if name not in ("id", "version", "name_folded", "name_order")
    ]
    for table in Record.__subclasses__()
}
TABLES = {str(table.__tablename__): table for table in Record.__subclasses__()}
# Forgetting would be none if the journal kept the name that goes, or where it stood.
RENAMING = ("crew.people.merge_person", "crew.people.forget_person")
NAMES = {"reporter", "by", "tester", "borrower", "name", "device"}

Cell = tuple[str, int, str]


def public_functions() -> Iterator[str]:
    """Yield every public function of the parts whose first parameter is a session."""
    for package in register.PACKAGES:
        folder = importlib.import_module(f"kb.{package}").__path__
        for found in pkgutil.iter_modules(folder):
            module = importlib.import_module(f"kb.{package}.{found.name}")
            for name, function in inspect.getmembers(module, inspect.isfunction):
                own = function.__module__ == module.__name__ and not name.startswith("_")
                if own and next(iter(inspect.signature(function).parameters), "") == "session":
                    yield f"{package}.{found.name}.{name}"


def test_every_public_function_that_takes_a_session_is_in_the_register() -> None:
    known = [*register.WRITES, *register.PARTS, *register.READS]
    assert len(known) == len(set(known)), "one stands there twice"
    assert sorted(public_functions()) == sorted(known)


def test_every_part_is_looked_at() -> None:
    faces_and_floor = {"cli", "web", "demo", "records", "starter"}
    parts = {found.name for found in pkgutil.iter_modules(kb.__path__) if found.ispkg}
    assert parts - faces_and_floor == set(register.PACKAGES)


@pytest.fixture(scope="module")
def _studio(_template: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """What the writes write to, made once."""
    engine = units.engine_for("sqlite://")
    with engine.connect() as connection:
        kept: Any = connection.connection.driver_connection
        _template.backup(kept)
    with units.begin(engine, Writer("M.O.", "terminal", register.BEGAN)) as session:
        register.a_studio(session)
    yield kept
    engine.dispose()


@pytest.fixture
def studio(_studio: sqlite3.Connection, engine: Engine) -> Engine:
    with engine.connect() as connection:
        own: Any = connection.connection.driver_connection
        _studio.backup(own)
    return engine


def everything(session: Session) -> dict[Cell, object]:
    """Return the value of every column of every record, as the journal would tell it."""
    return {
        (kind, row.key, column): plain(getattr(row, column))
        for kind, table in TABLES.items()
        for row in session.scalars(select(table))
        for column in KEPT[kind]
    }


def plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value


def told(rows: list[History]) -> dict[Cell, tuple[object, object]]:
    """Return what the journal says each column was before all of it, and is after."""
    found: dict[Cell, tuple[object, object]] = {}
    for row in rows:
        for column, (old, new) in row.changes.items():
            cell = (row.kind, row.record_id, column)
            assert cell not in found or found[cell][1] == old, "a step follows on the one before"
            found[cell] = (found.get(cell, (old, new))[0], new)
    return found


@pytest.mark.parametrize("name", register.WRITES)
def test_a_write_leaves_who_when_from_and_to(name: str, studio: Engine, tmp_path: Path) -> None:
    by = Writer("K.L.", "phone", register.AT)
    with units.read(studio) as session:
        before = everything(session)
        last = session.scalars(select(History.id).order_by(col(History.id).desc())).first() or 0
        read_so_far = changes.since(session, None).position
    with units.begin(studio, by) as session:
        register.WRITES[name](session, tmp_path)
    with units.read(studio) as session:
        after = everything(session)
        rows = [*session.scalars(select(History).where(col(History.id) > last))]
        announced = set(changes.since(session, read_so_far).changed)
    assert rows, "it left nothing"
    assert {(row.who, row.device, row.at) for row in rows} == {(by.who, by.device, by.at)}
    steps = told(rows)
    for cell in before.keys() | after.keys():
        old, new = before.get(cell), after.get(cell)
        unsaid = old is None and new == {}
        if old == new or unsaid or (name in RENAMING and cell[2] in NAMES):
            continue
        assert steps.get(cell) == (old, new), f"{cell} went from {old!r} to {new!r}"
    columns = {cell for cell in steps if cell[2] in KEPT[cell[0]]}
    assert {cell: steps[cell][1] for cell in columns} == {cell: after[cell] for cell in columns}
    assert {(row.kind, row.record_id) for row in rows} == announced
