"""Times in forms: told in the zone, read back to the same moment, untouched ones left alone."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import InvalidError
from kb.records.settings import Settings
from kb.records.workspace import Workspace
from kb.web import moments
from kb.web.forms import Field

LONDON = ZoneInfo("Europe/London")
PLACE = Workspace(Path("nowhere"), Settings(zone="Europe/London"))
NOW = datetime(2026, 11, 19, 15, 30, tzinfo=UTC)
# Any second from 1990 till 2036.
TIMES = st.integers(631_152_000, 2_082_758_400).map(lambda s: datetime.fromtimestamp(s, UTC))


def field(at: datetime | None) -> list[Field]:
    return [Field("at", "When", moments.told(at, PLACE))]


@pytest.mark.parametrize(
    ("at", "told"),
    [
        (datetime(2026, 1, 31, 19, 0, 59, tzinfo=UTC), "2026-01-31 19:00"),
        # In July London's clock shows UTC+1: tz database, Europe/London.
        (datetime(2026, 7, 31, 19, 0, tzinfo=UTC), "2026-07-31 20:00"),
        (None, ""),
    ],
)
def test_a_time_is_told_as_the_clock_on_the_wall_shows_it(at: datetime | None, told: str) -> None:
    assert moments.told(at, PLACE) == told


@settings(max_examples=60)
@given(TIMES)
def test_what_is_told_and_not_touched_is_not_among_what_changed(at: datetime) -> None:
    fields = field(at)

    assert moments.typed({"at": fields[0].value}, fields, ["at"], PLACE, NOW) == {}
    assert moments.typed({}, fields, ["at"], PLACE, NOW) == {}


@settings(max_examples=60)
@given(TIMES)
def test_what_is_told_is_read_back_to_the_minute(at: datetime) -> None:
    """In the hour that comes twice both times look the same on the wall."""
    told = moments.told(at, PLACE)

    (found,) = moments.typed({"at": told}, field(None), ["at"], PLACE, NOW).values()

    assert moments.told(found, PLACE) == told
    if not at.astimezone(LONDON).fold:
        assert found == at.replace(second=0, microsecond=0)


def test_a_time_that_was_emptied_is_none() -> None:
    assert moments.typed({"at": " "}, field(NOW), ["at"], PLACE, NOW) == {"at": None}


def test_each_time_that_is_none_is_told_by_its_field() -> None:
    fields = [Field("set_up_from"), Field("ends_at")]
    form = {"set_up_from": "early", "ends_at": "25:00"}

    with pytest.raises(InvalidError) as told:
        moments.typed(form, fields, form, PLACE, NOW)

    assert [one.field for one in told.value.problems] == ["set up from", "ends at"]
