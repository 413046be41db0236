"""Fixes are ranked by their lower limit; those too young to count stand apart."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlmodel import Session

from kb.entries import evidence, library
from kb.errors import InvalidError
from kb.records import workspace
from kb.review import fixes

NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)

pytestmark = pytest.mark.slow


def test_each_fix_has_the_evidence_of_its_entry(demo: Session, demo_made: Path) -> None:
    settings = workspace.opened(demo_made).settings
    found = fixes.fixes(demo, settings, NOW)
    for one in found:
        key = library.entry_by(demo, one.entry).key
        behind = evidence.of_entries(demo, [key], NOW, settings.hold_days)[key][one.fix]
        assert (one.success.successes, one.success.tries) == (behind.worked, behind.tried)
        assert one.success.pending == len(behind.pending)
    lows = [one.success.low for one in found]
    assert lows == sorted(lows, reverse=True)
    assert len(found) > 5


def test_what_is_inside_its_hold_time_is_no_success(demo: Session, demo_made: Path) -> None:
    settings = workspace.opened(demo_made).settings
    later = fixes.fixes(demo, settings, NOW + timedelta(days=60))
    assert sum(one.success.pending for one in later) == 0
    assert all("of" in one.words for one in later)


def test_no_such_confidence(demo: Session, demo_made: Path) -> None:
    with pytest.raises(InvalidError, match="confidence"):
        fixes.fixes(demo, workspace.opened(demo_made).settings, NOW, confidence=2)
