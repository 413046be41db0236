"""Every review of the invented studio: no figure without its limits and its number."""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlmodel import Session

from kb.records import workspace
from kb.records.settings import Settings
from kb.review import gather, reviews
from kb.review.facts import Frame
from kb.review.paper import Part, Review, Table
from kb.review.parts import first
from kb.review.parts.replacing import Offer

NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)
# Shares of a sum that is known whole, and what was paid or measured: they have no interval.
EXACT = {"Running"}
FIGURES = {"rate", "ratio", "share"}
MEANS = {"Mean, h", "A failure"}
SAID = re.compile(
    r"\d a unit and year|ratio \d|beta \d|shape \d|Mean .* \d|\d per 100|failure costs|"
    r"\d %(?! intervals?| of such| and|;|,|\.|\))"
)

pytestmark = pytest.mark.slow


@pytest.fixture
def settings(demo_made: Path) -> Settings:
    return workspace.opened(demo_made).settings


@pytest.fixture
def shared(demo: Session, settings: Settings) -> Frame:
    return gather.frame(demo, settings, NOW)


def made(demo: Session, settings: Settings, shared: Frame) -> Iterator[Review]:
    for name in reviews.models_of(demo):
        yield reviews.of_model(demo, settings, shared, name)
    for sort in reviews.sorts_of(demo):
        yield reviews.before_buying(demo, settings, shared, sort)
    for way in first.WAYS:
        yield reviews.what_first(demo, settings, shared, way)
    for item in ("MK-02", "RC-02", "HD-15", "DR-05"):
        yield reviews.of_item(demo, settings, shared, item)
    offer = Offer(repair="240", resale="1200 900")
    yield reviews.mend_or_replace(demo, settings, shared, "RC-01", "Granary 6", offer)
    yield reviews.of_drives(demo, settings, shared)
    yield reviews.of_fixes(demo, settings, shared)
    day = date(2026, 3, 16)
    yield reviews.hindsight_of(demo, settings, shared, "cable", day, "Stout 3 bought")


def test_no_figure_stands_without_its_limits_and_its_number(
    demo: Session, settings: Settings, shared: Frame
) -> None:
    seen = 0
    for review in made(demo, settings, shared):
        assert str(shared.window.since) in review.basis
        keys = [part.key for part in review.parts]
        assert len(keys) == len(set(keys)), (review.title, keys)
        for part in review.parts:
            seen += 1
            if part.table:
                check_table(review, part, part.table)
            for sentence in part.sentences:
                check_sentence(review, sentence)
            # What the figures of a table or a chart mean stands under them.
            assert part.line or not (part.chart or part.table) or part.key.startswith("hidden")
            # A table behind each chart.
            assert part.table or not part.chart, (review.title, part.key)
    assert seen > 400


def check_table(review: Review, part: Part, table: Table) -> None:
    names = [column.name for column in table.columns]
    assert len(names) == len(set(names)), (review.title, part.key, names)
    for at, column in enumerate(table.columns):
        is_limit = re.search(r"\b(low|high)\b", column.name, re.IGNORECASE)
        is_figure = column.form in FIGURES or column.name in MEANS
        if is_limit or not is_figure or column.name in EXACT:
            continue
        where = (review.title, part.key, column.name)
        assert "low" in names[at + 1].casefold(), where
        assert "high" in names[at + 2].casefold(), where
        assert any(one.form == "count" for one in table.columns), where
        for row in table.rows:
            assert row[at] is None or None not in row[at + 1 : at + 3], (where, row)


def check_sentence(review: Review, sentence: str) -> None:
    if SAID.search(sentence) and "needs" not in sentence:
        limits = r"\d( [a-z%]+)? to (\d|no limit)|upper limit of"
        assert re.search(limits, sentence), (review.title, sentence)
        number = (
            r"\d failure|\d restoration|unit-days|unit-shows|\d units?|\d tests| of \d|\d pair"
        )
        assert re.search(number, sentence), (review.title, sentence)
