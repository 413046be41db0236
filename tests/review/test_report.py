"""The review of models on the invented studio: the story's counts, exposure counted over again."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from scipy import stats
from sqlmodel import Session

from kb.demo import story as told
from kb.demo.story import Story
from kb.errors import InvalidError
from kb.records import workspace
from kb.records.kinds import FAILURE_KINDS
from kb.records.settings import Settings
from kb.review import report
from kb.review.report import ModelReview, ModelRow

NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)
BEGAN, END = date(2025, 5, 1), date(2026, 11, 1)
DAY = timedelta(days=1)

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def story() -> Story:
    return told.load()


@pytest.fixture
def settings(demo_made: Path) -> Settings:
    return workspace.opened(demo_made).settings


@pytest.fixture
def whole(demo: Session, settings: Settings) -> ModelReview:
    return report.review_models(demo, settings, NOW)


def rows(found: ModelReview) -> dict[str, ModelRow]:
    return {row.model.partition(" ")[2]: row for row in found.models}


def days_exposed(story: Story, model: str, since: date, until: date) -> int:
    """Count a model's unit-days over again, a day and a unit at a time, from the story alone."""
    count = 0
    for item in story.items:
        if item.model == model:
            gone = item.set_aside_on or item.retired_on or date.max
            day = since
            while day < until:
                count += max(item.in_service, BEGAN) <= day < gone
                day += DAY
    return count


def failed(story: Story, model: str, since: date, until: date) -> set[tuple[str, date]]:
    """Return the failures that the story books on a model: an item and a day, each once."""
    mine = {item.name for item in story.items if item.model == model}
    return {
        (fault.cause_item, fault.on)
        for fault in story.faults
        if fault.cause_item in mine
        and fault.cause_kind in FAILURE_KINDS
        and since <= fault.on < until
    }


# The scenario of the studio, section 4: what a good review should find.
@pytest.mark.parametrize(
    ("model", "units", "failures"),
    [
        ("Ribbonet 3", 12, 7),
        ("Granary 4", 4, 13),
        ("Silo 1T", 6, 9),
        ("Stout 2", 6, 0),
        ("Granary 6", 2, 1),
    ],
)
def test_it_finds_what_a_good_review_should_find(
    whole: ModelReview, model: str, units: int, failures: int
) -> None:
    row = rows(whole)[model]
    assert (row.units, row.failures) == (units, failures)


def test_the_window_is_from_the_log_s_beginning_to_today(whole: ModelReview) -> None:
    assert (whole.since, whole.until, whole.confidence) == (BEGAN, END, 0.9)
    assert whole.left_out == whole.not_counted == ()


def test_every_model_s_units_days_and_failures_are_those_of_the_story(
    whole: ModelReview, story: Story
) -> None:
    found = rows(whole)
    assert found.keys() == {model.name for model in story.models}
    owned = Counter(item.model for item in story.items)
    for name, row in found.items():
        assert row.units == owned[name]
        assert row.unit_days == days_exposed(story, name, BEGAN, END), name
        assert row.failures == len(failed(story, name, BEGAN, END)), name
    classes = {model.name: model.equipment_class for model in story.models}
    assert {name: row.equipment_class for name, row in found.items()} == classes


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99])
def test_rates_are_a_unit_and_year_with_exact_limits(
    demo: Session, settings: Settings, confidence: float
) -> None:
    """Against the chi-square limits of the NIST/SEMATECH e-Handbook 8.4.5.1, by scipy.stats."""
    found = report.review_models(demo, settings, NOW, confidence=confidence)
    tail = (1 - confidence) / 2
    for row in found.models:
        years = row.unit_days / 365.25
        low = stats.chi2.ppf(tail, 2 * row.failures) / 2 if row.failures else 0
        high = stats.chi2.ppf(1 - tail, 2 * row.failures + 2) / 2
        assert row.rate == pytest.approx(row.failures / years)
        assert (row.low, row.high) == pytest.approx((low / years, high / years))
        assert f"{100 * confidence:g} %" in row.in_words


def test_the_worst_rate_comes_first(whole: ModelReview) -> None:
    assert all(one.rate >= other.rate for one, other in pairwise(whole.models))


CUTS = [BEGAN, date(2025, 10, 26), date(2026, 3, 29), date(2026, 6, 1), date(2026, 9, 30), END]


def test_windows_that_follow_each_other_add_up(
    demo: Session, settings: Settings, whole: ModelReview, story: Story
) -> None:
    """Cut on days on which the clocks change, leads were set aside and a recorder retired."""
    parts = [
        report.review_models(demo, settings, NOW, since=since, until=until)
        for since, until in pairwise(CUTS)
    ]
    for name, row in rows(whole).items():
        mine = [rows(part)[name] for part in parts if name in rows(part)]
        assert sum(one.unit_days for one in mine) == row.unit_days, name
        # A failure on the day on which the unit left use counts in the window that holds it.
        assert sum(one.failures for one in mine) == row.failures, name
    for part, (since, until) in zip(parts, pairwise(CUTS), strict=True):
        for name, row in rows(part).items():
            assert row.unit_days == days_exposed(story, name, since, until)
            assert row.failures == len(failed(story, name, since, until))


def test_a_window_before_the_log_or_before_a_model_came_lists_nothing_of_it(
    demo: Session, settings: Settings
) -> None:
    early = report.review_models(demo, settings, NOW, since=date(2025, 1, 1), until=BEGAN)
    assert early.models == ()
    may = report.review_models(demo, settings, NOW, until=date(2025, 5, 19))
    assert "Ribbonet 3" not in rows(may)
    one_day = report.review_models(demo, settings, NOW, until=date(2025, 5, 20))
    assert (rows(one_day)["Ribbonet 3"].units, rows(one_day)["Ribbonet 3"].unit_days) == (12, 12)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"since": END, "until": BEGAN}, "days"),
        ({"until": date(2025, 1, 1)}, "days"),
        ({"confidence": 0}, "confidence"),
        ({"confidence": 1}, "confidence"),
        ({"confidence": 90}, "confidence"),
    ],
)
def test_what_no_review_can_be_made_of_is_told(
    demo: Session, settings: Settings, values: dict[str, object], field: str
) -> None:
    with pytest.raises(InvalidError, match=rf"^{field}: "):
        report.review_models(demo, settings, NOW, **values)  # type: ignore[arg-type]
