"""When something was recorded last, asked of real bases."""

from datetime import UTC, datetime

from kb.records import newest, opening, session
from kb.records.tables.gear import Model
from kb.records.unit import Writer
from kb.records.workspace import Workspace

LATER = datetime(2026, 4, 1, 8, 0, 0, 250, tzinfo=UTC)


def test_the_last_record_is_the_newest_of_the_journal(studio: Workspace, at: datetime) -> None:
    assert newest.recorded(studio) == at
    engine = opening.open_engine(studio)
    with session.begin(engine, Writer("M.O.", "test", LATER)) as unit:
        unit.add(Model(maker="Vellum", name="Later"))
    assert newest.recorded(studio) == LATER
    engine.dispose()
    assert newest.recorded(studio) == LATER


def test_of_what_cannot_be_read_nothing_is_said(studio: Workspace) -> None:
    studio.database.write_bytes(b"nothing" * 2000)
    assert newest.recorded(studio) is None
    studio.database.unlink()
    assert newest.recorded(studio) is None
    assert not studio.database.exists()
