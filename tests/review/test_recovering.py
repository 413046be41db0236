"""How models come back, on the invented studio: open jobs, complete windows, shows, ages."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlmodel import Session

from kb.records import workspace
from kb.review import fleet, recovering
from kb.review.recovering import Recovery

NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)

pytestmark = pytest.mark.slow


def told(demo: Session, folder: Path, kind: str, model: str, now: datetime = NOW) -> Recovery:
    settings = workspace.opened(folder).settings
    found = fleet.fetch(demo, settings, now, equipment_class=kind)
    rows = recovering.recovery(demo, settings, now, found)
    return next(one for one in rows if one.model.endswith(model))


def test_restoration_counts_the_wait_for_parts(demo: Session, demo_made: Path) -> None:
    found = told(demo, demo_made, "recorder", "Granary 4").restoration
    assert (found.completed, found.still_open, found.is_range) == (13, 0, False)
    # RC-02 was away for repair from 2026-05-07 to 2026-05-28: three weeks.
    assert found.longest == pytest.approx(20.72 * 24, rel=0.01)
    assert found.mean is not None
    assert found.median is not None
    assert found.median < 1 < found.mean


def test_the_same_came_back_only_in_complete_windows(demo: Session, demo_made: Path) -> None:
    found = told(demo, demo_made, "call-computer", "Tern 14").repeat
    assert found.complete + found.pending == 14
    assert found.repeats == 6
    assert found.within is not None
    few = told(demo, demo_made, "recorder", "Granary 4").repeat
    assert (few.complete, few.pending) == (8, 5)  # RC-02's last ones ended with the unit


def test_availability_is_told_at_air_time_and_from_five_failures_on(
    demo: Session, demo_made: Path
) -> None:
    found = told(demo, demo_made, "recorder", "Granary 4")
    assert found.at_shows is not None
    assert 4 * 126 >= found.at_shows.shows > 480
    assert found.at_shows.fit < found.at_shows.shows
    young = told(demo, demo_made, "recorder", "Granary 6")
    assert young.at_shows is None
    assert "1 of the 5 failures it takes" in young.words[2]


def test_drives_have_a_rate_for_each_age(demo: Session, demo_made: Path) -> None:
    found = told(demo, demo_made, "drive", "Silo 1T")
    rates = [one.annualised.rate.rate for one in found.bands if one.annualised]
    assert [one.failures for one in found.bands] == [0, 2, 7, 0]
    assert rates == sorted(rates)
    assert told(demo, demo_made, "recorder", "Granary 4").bands == ()
