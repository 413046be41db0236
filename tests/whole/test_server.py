"""What is written and read works on PostgreSQL as it does on SQLite."""

from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import date
from pathlib import Path

import history_register as register
import pytest
from sqlalchemy import Engine
from sqlmodel import Session

from kb.crew import people
from kb.errors import NotFoundError
from kb.gear import drives, loans, lookup, pages, paths, shows, spares, upkeep, views
from kb.records import migrate
from kb.records import session as units
from kb.records.tables.journal import Base
from kb.records.unit import Writer

BY = Writer("K.L.", "phone", register.AT)


@pytest.fixture
def server(postgresql: str) -> Iterator[Engine]:
    """An engine on a server with the studio of the register."""
    engine = units.engine_for(postgresql)
    migrate.upgrade(engine)
    with units.begin(engine, Writer("M.O.", "terminal", register.BEGAN)) as session:
        session.add(Base(mark="a base for tests"))
        register.a_studio(session)
    yield engine
    engine.dispose()


class _TakenBackError(Exception):
    """So that the next write finds the studio as it was."""


def test_every_write_works_on_a_server(server: Engine, tmp_path: Path) -> None:
    for act in register.WRITES.values():
        with suppress(_TakenBackError), units.begin(server, BY) as session:
            act(session, tmp_path)
            raise _TakenBackError


READS: list[Callable[[Session], object]] = [
    lambda s: pages.item_page(s, "HD-01"),
    lambda s: [line.name for line in views.item_lines(s, {"text": "cc-0", "place": "rr"})],
    lambda s: views.item_count(s, {"equipment_class": "cable", "state": "fit"}),
    views.model_lines,
    views.place_lines,
    lambda s: paths.path_down(s, "CC-01", register.AT),
    lambda s: (shows.next_show(s, register.BEGAN), shows.show_at(s, register.AT)),
    lambda s: spares.spares(s, register.AT),
    lambda s: upkeep.due(s, date(2030, 1, 1)),
    lambda s: upkeep.services_of(s, "CC-01"),
    lambda s: loans.open_loans(s, date(2030, 1, 1)),
    lambda s: drives.tests_of(s, "DR-01"),
    people.people,
]


def test_what_is_read_on_a_server_is_what_is_read_on_a_file(
    server: Engine, engine: Engine
) -> None:
    with units.begin(engine, Writer("M.O.", "terminal", register.BEGAN)) as session:
        register.a_studio(session)
    for read in READS:
        with units.read(server) as there, units.read(engine) as here:
            assert read(there) == read(here)


@pytest.mark.parametrize("typed", ["a\x00b", "\udcff", "x" * 30_000])
def test_what_can_be_no_name_is_not_found_on_a_server(server: Engine, typed: str) -> None:
    for find in (lookup.item, lookup.model, lookup.place, people.person_by):
        with units.read(server) as session, pytest.raises(NotFoundError):
            find(session, typed)
