"""Over a restore, what was ended stays ended; where that can't be told, all is."""

from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlmodel import col, select

from kb.records import backup, opening, restoring, session
from kb.records.tables.crew import Pairing, Person
from kb.records.tables.journal import History
from kb.records.unit import Writer
from kb.records.workspace import Workspace

DEVICES = ("kept", "ended", "forgotten")


@pytest.fixture
def made(studio: Workspace, at: datetime, writer: Writer) -> Path:
    """A backup from when three phones were let in."""
    engine = opening.open_engine(studio)
    with session.begin(engine, writer) as unit:
        for device in DEVICES:
            person = Person(name=f"{device[:2]}.")
            unit.add(person)
            unit.flush()
            unit.add(
                Pairing(
                    person_id=person.key,
                    device=device,
                    secret=device * 3,
                    paired_at=at,
                    expires_at=at,
                )
            )
    engine.dispose()
    return backup.make(studio, at)


def end_two(studio: Workspace, writer: Writer) -> None:
    """End a phone, forget the person of another, let a fourth one in."""
    engine = opening.open_engine(studio)
    with session.begin(engine, writer) as unit:
        for row in unit.scalars(select(Pairing)):
            if row.device == "ended":
                row.ended_at = writer.at
            if row.device == "forgotten":
                unit.get_one(Person, row.person_id).forgotten_at = writer.at
    engine.dispose()


def let_in(studio: Workspace) -> set[str]:
    engine = opening.open_engine(studio)
    with session.read(engine) as unit:
        found = set(unit.scalars(select(Pairing.device).where(col(Pairing.ended_at).is_(None))))
    engine.dispose()
    return found


def test_what_was_ended_since_stays_ended(
    studio: Workspace, at: datetime, writer: Writer, made: Path
) -> None:
    end_two(studio, writer)
    replaced = restoring.restore(made, studio.folder, at)

    assert replaced
    assert not replaced.all_ended
    assert let_in(studio) == {"kept"}
    engine = opening.open_engine(studio)
    with session.read(engine) as unit:
        told = unit.scalars(select(History).where(History.who == "restore")).all()
    engine.dispose()
    assert [(one.kind, list(one.changes)) for one in told] == [("pairing", ["ended_at"])] * 2


def test_it_stays_so_whichever_state_is_brought_back_next(
    studio: Workspace, at: datetime, writer: Writer, made: Path
) -> None:
    end_two(studio, writer)
    for _again in range(2):
        assert restoring.restore(made, studio.folder, at)
        assert let_in(studio) == {"kept"}


@pytest.mark.parametrize("harm", ["gone", "no database", "torn"])
def test_where_it_cannot_be_told_all_are_ended(
    harm: str, studio: Workspace, at: datetime, made: Path
) -> None:
    base = studio.database
    if harm == "gone":
        base.unlink()
    elif harm == "no database":
        base.write_bytes(b"nothing" * 2000)
    else:
        content = base.read_bytes()
        base.write_bytes(content[:8192] + bytes(4096) + content[12288:])
    replaced = restoring.restore(made, studio.folder, at)

    assert replaced
    assert replaced.all_ended
    assert let_in(studio) == set()


def test_before_anybody_could_be_let_in_nothing_was_ended(
    studio: Workspace, at: datetime, made: Path
) -> None:
    engine = opening.open_engine(studio)
    with engine.begin() as connection:
        connection.execute(text("DROP TABLE pairing"))
    engine.dispose()
    replaced = restoring.restore(made, studio.folder, at)

    assert replaced
    assert not replaced.all_ended
    assert let_in(studio) == set(DEVICES)


def test_in_a_new_folder_they_are_as_they_were(
    studio: Workspace, at: datetime, made: Path, tmp_path: Path
) -> None:
    assert restoring.restore(made, tmp_path / "again", at) is None
    assert let_in(Workspace(tmp_path / "again", studio.settings)) == set(DEVICES)
