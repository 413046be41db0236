"""What is drawn is the same each time, listed, and fits what the rows say."""

from collections import Counter
from datetime import UTC, date, datetime, time
from importlib import resources
from random import Random
from zoneinfo import ZoneInfo

import pytest

from kb.demo import draws, files
from kb.demo import story as told
from kb.demo.gear_rows import SpeedRow
from kb.demo.story import Story
from kb.demo.use_rows import FaultRow, Show, ShowRow
from kb.records.kinds import Effect

LONDON = ZoneInfo("Europe/London")


@pytest.fixture(scope="module")
def story() -> Story:
    return told.load()


def seeded(seed: int) -> Random:
    """Return a source of draws."""
    return Random(seed)  # noqa: S311 - a story, no secret


def phase(story: Story, number: int) -> str:
    """Return when, by the evening's times, a fault was noticed."""
    fault = story.faults[number - 1]
    (show,) = (show for show in story.shows if show.on == fault.on)
    if fault.noticed_at < show.air_at:
        return "before"
    return "live" if fault.noticed_at < show.ends_at else "after"


def test_the_list_of_what_was_drawn_is_up_to_date(story: Story) -> None:
    kept = (resources.files("kb.demo") / "data" / "drawn.csv").read_text(encoding="utf-8")
    assert told.drawn(story) == kept


def test_two_readings_tell_the_same(story: Story) -> None:
    assert told.load() == story


def test_another_seed_tells_other_times(story: Story) -> None:
    rows, by_day = files.read(FaultRow, "faults"), {show.on: show for show in story.shows}
    other = draws.faults(rows, by_day, LONDON, seeded(1))
    assert [fault.text for fault in other] == [fault.text for fault in story.faults]
    assert [fault.noticed_at for fault in other] != [fault.noticed_at for fault in story.faults]


def test_a_report_that_says_when_is_believed(story: Story) -> None:
    for fault in story.faults:
        if fault.when in draws.PHASES:
            assert phase(story, fault.number) == fault.when, fault
        elif fault.when is not None:
            local = fault.noticed_at.astimezone(LONDON)
            assert (local.date(), f"{local:%H:%M}") == (fault.on, fault.when)


def test_most_faults_turn_up_before_air_and_few_afterwards(story: Story) -> None:
    phases = Counter(phase(story, fault.number) for fault in story.faults)
    assert phases["before"] > 55
    assert phases["live"] > phases["after"] > 0
    touched = [fault for fault in story.faults if fault.when is None and fault.effect != "none"]
    assert "after" not in {phase(story, fault.number) for fault in touched}


def test_a_fault_is_restored_after_its_minutes_or_at_the_service_that_ended_it(
    story: Story,
) -> None:
    ends = {(found.item, service.on) for service in story.services
            for found in story.service_items if found.service == service.number}  # fmt: skip
    ends |= {(item.name, item.retired_on) for item in story.items if item.retired_on}
    for fault in story.faults:
        if fault.restored_on is None:
            minutes = (fault.restored_at - fault.noticed_at).total_seconds() / 60
            assert minutes == fault.minutes
        else:
            assert (fault.cause_item, fault.restored_on) in ends, fault
            assert fault.restored_at > fault.noticed_at


def test_attempts_lie_between_noticed_and_restored_and_the_last_one_worked(
    story: Story,
) -> None:
    for fault in story.faults:
        tries = [attempt for attempt in story.attempts if attempt.fault == fault.number]
        assert [attempt.position for attempt in tries] == list(range(1, len(tries) + 1))
        assert [attempt.at for attempt in tries] == sorted(attempt.at for attempt in tries)
        assert all(fault.noticed_at < attempt.at <= fault.restored_at for attempt in tries)
        assert all((attempt.fix is None) != (attempt.what is None) for attempt in tries)
        if tries:
            assert tries[-1].worked
            assert tries[-1].at == fault.restored_at


def test_serial_numbers_are_made_of_maker_year_and_five_digits(story: Story) -> None:
    makers = {model.name: model.maker for model in story.models}
    assert len({item.serial for item in story.items}) == len(story.items)
    for item in story.items:
        start = f"{makers[item.model][:2].upper()}{item.in_service.year}"
        assert item.serial.startswith(start)
        assert len(item.serial) == len(start) + 5


def test_shows_go_on_air_at_seven_in_london_in_summer_and_winter(story: Story) -> None:
    air = {show.on: show.air_at for show in story.shows}
    assert air[date(2025, 7, 3)] == datetime(2025, 7, 3, 18, tzinfo=UTC)
    assert air[date(2026, 1, 8)] == datetime(2026, 1, 8, 19, tzinfo=UTC)


def test_a_drive_of_a_group_differs_by_the_same_at_every_test() -> None:
    rows = [
        SpeedRow("DR-07", "2025-05", None, 410, 8),
        SpeedRow("DR-07", "2025-08", 19, 408, 8),
        SpeedRow("DR-01", "2025-05", None, 182, None),
    ]
    for seed in range(20):
        first, second, exact = draws.speeds(rows, seeded(seed))
        assert abs(first.bytes_per_second - 410_000_000) <= 8_000_000
        assert first.bytes_per_second - second.bytes_per_second == 2_000_000
        assert exact.bytes_per_second == 182_000_000
        assert (first.on, second.on) == (date(2025, 5, 5), date(2025, 8, 19))


def test_searches_are_made_in_set_ups_by_people_of_that_time(story: Story) -> None:
    people = {person.initials: person for person in story.people}
    assert len(story.searches) == 5
    for search in story.searches:
        since = people[search.by].since
        assert since is None or since <= search.at.date()
        assert any(show.set_up_from <= search.at < show.air_at for show in story.shows)


def test_the_minutes_of_a_phase_are_all_within_it() -> None:
    (show,) = draws.shows([ShowRow(date(2025, 5, 1), time(17, 30), time(19), time(21))], LONDON)
    assert phases_of(show, "before") <= {(show.set_up_from, show.air_at)}
    assert phases_of(show, "live") <= {(show.air_at, show.ends_at)}


def phases_of(show: Show, when: str) -> set[tuple[datetime, datetime]]:
    """Return the spans of the evening into which a hundred draws of a phase fall."""
    row = files.read(FaultRow, "faults")[0]
    told_so = FaultRow(
        **{**vars(row), "on": show.on, "when": when, "effect": Effect.NONE, "restored_on": None}
    )
    spans = [(show.set_up_from, show.air_at), (show.air_at, show.ends_at)]
    found = draws.faults([told_so] * 100, {show.on: show}, LONDON, seeded(7))
    return {span for fault in found for span in spans if span[0] <= fault.noticed_at < span[1]}
