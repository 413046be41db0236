"""What stands beside the verdicts on the invented studio: shows, ages, curves, places, money."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlmodel import Session

from kb.records import workspace
from kb.records.settings import Settings
from kb.review import gather, reviews
from kb.review.facts import Frame
from kb.review.paper import Part, Review

NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)

pytestmark = pytest.mark.slow


@pytest.fixture
def settings(demo_made: Path) -> Settings:
    return workspace.opened(demo_made).settings


@pytest.fixture
def shared(demo: Session, settings: Settings) -> Frame:
    return gather.frame(demo, settings, NOW)


@pytest.fixture
def leads(demo: Session, settings: Settings, shared: Frame) -> Review:
    return reviews.before_buying(demo, settings, shared, "cable HDMI")


@pytest.fixture
def recorders(demo: Session, settings: Settings, shared: Frame) -> Review:
    return reviews.before_buying(demo, settings, shared, "recorder")


def part(found: Review, key: str) -> Part:
    said = found.part(key)
    assert said is not None
    return said


def rows(found: Review, key: str) -> list[dict[str, object]]:
    table = part(found, key).table
    return list(table.named()) if table else []  # type: ignore[arg-type]


def words(found: Review, key: str) -> str:
    return " ".join(part(found, key).sentences)


def test_failures_per_hundred_shows_beside_those_per_year(recorders: Review) -> None:
    told = {str(one["Model"]): one for one in rows(recorders, "shows")}
    old = told["Morvaxa Granary 4"]
    # 126 shows, three recorders through all of them and one retired in September.
    assert old["Failures"] == 13
    assert 3 * 126 < int(str(old["Unit-shows"])) < 4 * 126
    assert "of the 126 shows held" in part(recorders, "shows").line


def test_a_young_model_beside_an_old_one_is_said_with_both_ages(leads: Review) -> None:
    said = part(leads, "verdict").sentences
    against = next(one for one in said if one.startswith("Ossprell Ribbonet 3 against Yelkarn St"))
    assert "unlike ages: Ossprell Ribbonet 3 0.4 years in service on average" in against
    both_young = next(one for one in said if "Ribbonet 3 against Yelkarn Stout 3" in one)
    assert "unlike ages" not in both_young


def test_what_would_settle_it_says_days_unit_days_and_failures(leads: Review) -> None:
    said = words(leads, "verdict")
    assert "about 90 days more settle it, by 2027-01-29: 900 unit-days" in said
    assert "Before 5 more failures of either no verdict is given" in said


def test_the_test_of_two_groups_suits_what_they_are(leads: Review, recorders: Review) -> None:
    assert "Log-rank test over ages that both reached: p" in words(leads, "verdict")
    # One was four years old when the other was new.
    assert "No comparison of mean cumulative functions: they reach no age in common" in words(
        recorders, "verdict"
    )


def test_curves_have_their_figures_below_them(leads: Review, recorders: Review) -> None:
    lasting = part(leads, "curves")
    assert lasting.chart is not None
    assert lasting.chart.axis == "share that lasts"
    assert len(rows(leads, "curves")) == len(lasting.chart.steps[0].x) == 7
    assert "No curve of Yelkarn Stout 2: without a failure there is none." in lasting.sentences
    failing = part(recorders, "curves")
    assert failing.chart is not None
    assert failing.chart.axis == "failures a unit has had"


def test_before_and_after_a_model_was_first_bought(leads: Review) -> None:
    told = {str(one["What"]): one for one in rows(leads, "bought")}
    bought = told["Yelkarn Stout 3 bought"]
    assert bought["Day"] == date(2026, 3, 16)
    assert (bought["Before"], bought["After"]) == (6, 1)
    assert "no evidence that it changed anything" in words(leads, "bought")


def test_what_models_cost_side_by_side(leads: Review) -> None:
    told = {str(one["Model"]): one for one in rows(leads, "owned")}
    thin = told["Ossprell Ribbonet 3"]
    # 75 minutes lost at 12.00 over 7 failures.
    assert float(str(thin["A failure"])) == pytest.approx(75 * 1200 / 7)
    assert (thin["Low"], thin["High"]) == (7 * 1200, 16 * 1200)  # fewer than ten: the range
    assert told["Yelkarn Stout 2"]["A failure"] is None


def test_where_failures_were_seen_tells_what_shows_elsewhere(
    demo: Session, settings: Settings, shared: Frame
) -> None:
    silo = reviews.of_model(demo, settings, shared, "Silo 1T")
    told = {str(one["Where"]) for one in rows(silo, "where")}
    assert {"seen on RC-01", "seen on RC-02", "seen on RC-04"} <= told
    tern = reviews.of_model(demo, settings, shared, "Tern 14")
    assert "the only place of all: that tells nothing of it" in words(tern, "where")


def test_the_first_to_look_at_are_drawn_and_those_never_to_buy_again_named(
    demo: Session, settings: Settings, shared: Frame
) -> None:
    found = reviews.what_first(demo, settings, shared, "minutes")
    chart = part(found, "first").chart
    assert chart is not None
    assert [bar.name for bar in chart.bars[:2]] == ["Morvaxa Granary 4", "Halvetta Tern 14"]
    assert chart.bars[0].told == "152, so far 28 %"
    never = part(found, "never").sentences
    assert {one.split(" (")[0] for one in never} == {
        "Ossprell Ribbonet 3",
        "Morvaxa Silo 1T",
        "Morvaxa Granary 4",
    }
    assert all("clearly worse than" in one and "unit-days" in one for one in never)


def test_down_time_is_told_beside_the_days_in_use(
    demo: Session, settings: Settings, shared: Frame
) -> None:
    granary = reviews.of_model(demo, settings, shared, "Granary 4")
    assert "Down time: 44.8 days in 2,164 unit-days, most of it RC-02" in words(
        granary, "restoration"
    )
