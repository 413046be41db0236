"""Keys of other records are told by those records' names."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from kb.records import naming
from kb.records.schema import METADATA
from kb.records.tables.entries import Entry
from kb.records.tables.gear import Item, Model, Place
from kb.records.tables.use import Show
from kb.records.unit import RecordSession


@pytest.fixture
def filled(session: RecordSession, at: datetime) -> RecordSession:
    session.add(Model(maker="Ossprell", name="Ribbonet 3"))
    session.add(Place(name="drawer C1", kind="drawer"))
    session.add(Item(code="000001", name="HD-01"))
    session.add(Show(title="Panel 62", air_at=at))
    session.add(Entry(slug="audio-hum", title="Hum", area="Audio", status="accepted", revision=0))
    session.flush()
    return session


@pytest.mark.parametrize(
    ("kind", "column", "name"),
    [
        ("item", "model_id", "Ossprell Ribbonet 3"),
        ("item", "place_id", "drawer C1"),
        ("place", "parent_id", "drawer C1"),
        ("link", "cable_id", "HD-01"),
        ("fault", "seen_item_id", "HD-01"),
        ("fault", "show_id", "Panel 62"),
        ("fault", "entry_id", "audio-hum"),
        ("attempt", "fault_id", 1),  # a fault goes by its number
    ],
)
def test_a_key_becomes_the_name(
    kind: str, column: str, name: object, filled: RecordSession
) -> None:
    assert naming.named(filled, kind, {column: (None, 1)}) == {column: (None, name)}


def test_what_is_no_key_stays(filled: RecordSession) -> None:
    changes = {"note": ("1", None), "items": ("HD-01=pass", "HD-01=fail")}

    assert naming.named(filled, "item", changes) == changes


@pytest.mark.parametrize("kind", sorted(METADATA.tables))
def test_every_kind_of_record_is_known(kind: str, session: RecordSession) -> None:
    assert naming.named(session, kind, {}) == {}


@pytest.mark.parametrize(
    ("column", "change", "told"),
    [
        ("place_id", (None, "drawer C1"), ("place", "", "drawer C1")),
        ("place_id", ("drawer C1", None), ("place", "drawer C1", "nothing")),
        ("price_minor", (98000, 1205), ("price", "980.00", "12.05")),
        ("until", (None, "2026-07-01T18:05:00+00:00"), ("until", "", "2026-07-01 19:05")),
        ("in_service", (None, "2026-07-01"), ("in service", "", "2026-07-01")),
        (
            "technical",
            ({}, {"length": "3 m", "pins": 5}),
            ("technical", "nothing", "length=3 m, pins=5"),
        ),
    ],
)
def test_a_change_is_told_in_words_and_times_in_the_zone(
    column: str, change: tuple[object, object], told: tuple[str, str, str]
) -> None:
    # London is an hour ahead of UTC in July: British Summer Time.
    assert naming.words({column: change}, ZoneInfo("Europe/London")) == (told,)
