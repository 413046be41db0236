"""The story holds what a good review should find, and says the same each time."""

from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from kb.demo import story as told
from kb.demo.story import Story
from kb.demo.use_rows import Fault
from kb.entries import parse
from kb.entries.words import SWAP_KEY
from kb.records.kinds import FAILURE_KINDS, CauseKind
from kb.review.methods import exposure
from kb.review.methods.exposure import Days, Spell, Unit

ROOT = Path(__file__).parents[2]
FIX_DAY = date(2026, 3, 19)


@pytest.fixture(scope="module")
def story() -> Story:
    return told.load()


def names(story: Story, model: str, batch: str | None = None) -> set[str]:
    """Return the names of a model's items, or of one batch of it."""
    return {
        item.name for item in story.items if item.model == model and batch in (None, item.batch)
    }


def failures(story: Story, model: str) -> list[tuple[date, str]]:
    """Return the failures booked on a model: a day and an item, each once."""
    mine = names(story, model)
    return sorted(
        {
            (fault.on, fault.cause_item)
            for fault in story.faults
            if fault.cause_item in mine and fault.cause_kind in FAILURE_KINDS
        }
    )


def listed(story: Story, model: str, topic: str | None = None) -> list[Fault]:
    """Return the faults that the crew's table lists under a model."""
    mine = names(story, model)
    return [fault for fault in story.faults if fault.item in mine and topic in (None, fault.topic)]


def quarters(days: list[date]) -> list[int]:
    """Return how many of the days fall into each quarter from May 2025 on."""
    counted = Counter(((day.year - 2025) * 12 + day.month - 5) // 3 for day in days)
    return [counted[quarter] for quarter in range(6)]


def test_there_are_130_items_of_which_114_are_in_use_at_the_end(story: Story) -> None:
    classes = {model.name: model.equipment_class for model in story.models}
    kinds = Counter(
        kind if (kind := classes[item.model]) in ("drive", "cable") else "device"
        for item in story.items
    )
    assert kinds == {"device": 56, "drive": 16, "cable": 58}
    retired = [item for item in story.items if item.retired_on is not None]
    aside = [item for item in story.items if item.set_aside_on is not None]
    assert len(retired) == 11
    assert [item.name for item in aside] == ["HD-03", "HD-05", "HD-07", "HD-10", "HD-12"]
    assert {item.set_aside_on for item in aside} == {date(2026, 6, 1)}
    assert len(story.items) - len({*retired, *aside}) == 114


def test_there_are_87_faults_in_the_order_of_the_log(story: Story) -> None:
    assert [fault.number for fault in story.faults] == list(range(1, 88))
    assert [fault.on for fault in story.faults] == sorted(fault.on for fault in story.faults)
    assert sum(fault.minutes for fault in story.faults) == 551


def test_there_are_126_shows_and_every_fault_has_its_evening(story: Story) -> None:
    days = [show.on for show in story.shows]
    assert days == sorted(set(days))
    assert Counter(f"{day:%A}" for day in days) == {"Thursday": 73, "Tuesday": 53}
    weeks = {day.isocalendar()[:2] for day in days}
    assert len(weeks) == 79 - 6  # a week without a Thursday is a holiday week
    assert {fault.on for fault in story.faults} <= set(days)
    assert {(show.on_air.hour, show.on_air.minute) for show in story.shows} == {(19, 0)}


def test_seven_of_twelve_thin_leads_fail_within_a_year(story: Story) -> None:
    found = failures(story, "Ribbonet 3")
    assert len(names(story, "Ribbonet 3")) == 12
    assert len(found) == len({item for _, item in found}) == 7
    assert all((day - date(2025, 5, 19)).days < 365 for day, _ in found)
    retired = {item.name: item.retired_on for item in story.items}
    assert all(retired[item] == day for day, item in found)
    assert failures(story, "Stout 2") == []  # its one fault was handling
    (forced,) = listed(story, "Stout 2")
    assert forced.cause_kind is CauseKind.HANDLING


def test_the_review_counts_the_thin_leads_up_to_the_day_each_left_use(story: Story) -> None:
    leads = [item for item in story.items if item.model == "Ribbonet 3"]
    found = failures(story, "Ribbonet 3")
    units = [
        Unit(
            lead.name,
            lead.in_service,
            tuple(
                Spell(state, day)
                for state, day in (("set aside", lead.set_aside_on), ("retired", lead.retired_on))
                if day is not None
            ),
            tuple(day for day, item in found if item == lead.name),
        )
        for lead in leads
    ]
    window = Days(story.house.log_began, date(2026, 11, 1))
    fleet = exposure.of_units(units, log_began=story.house.log_began, window=window)
    # 283 + 178 + 94 + 262 + 360 + 143 + 248 days of those that failed, 5 x 378 of the rest.
    assert (fleet.failures, fleet.unit_days) == (7, 1568 + 5 * 378)


def test_one_recorder_model_wears_out_and_three_of_its_faults_were_drives(story: Story) -> None:
    rows = listed(story, "Granary 4")
    assert quarters([fault.on for fault in rows]) == [1, 1, 2, 3, 4, 5]
    blamed = [fault.cause_item for fault in rows if fault.cause_item != fault.item]
    assert blamed == ["DR-03", "DR-06", "DR-01"]
    assert all(fault.seen_on == fault.item for fault in rows)
    fair = failures(story, "Granary 4")
    assert len(fair) == 13
    assert quarters([day for day, _ in fair]) == [0, 1, 2, 2, 4, 4]
    assert sum(fault.item == "RC-02" for fault in rows) == 6
    assert failures(story, "Granary 6") == [(date(2025, 7, 10), "RC-05")]


def test_one_drive_model_slows_and_one_event_hides_behind_a_recorder(story: Story) -> None:
    assert len(failures(story, "Silo 1T")) == 9
    assert len(listed(story, "Silo 1T", "drive-too-slow")) == 8
    assert failures(story, "Silo 2T Pro") == failures(story, "Flint 2") == []
    full = [fault for fault in story.faults if fault.topic == "drive-full"]
    assert {fault.cause_kind for fault in full} == {CauseKind.SETTING_HERE}
    assert len(full) == 2


def test_one_batch_comes_up_in_the_wrong_colours_until_the_fix(story: Story) -> None:
    rows = listed(story, "Tern 14", "display-colour-shift")
    batch_b = [fault for fault in rows if fault.item in names(story, "Tern 14", "B")]
    before = [fault for fault in batch_b if fault.on < FIX_DAY]
    assert (len(batch_b), len(before)) == (13, 11)
    assert {fault.cause_kind for fault in before} == {CauseKind.SETTING_DELIVERED}
    assert not any(fault.cause_kind in FAILURE_KINDS for fault in batch_b if fault.on >= FIX_DAY)
    assert [fault.item for fault in rows if fault not in batch_b] == ["CC-02"]
    assert all(1 <= fault.minutes <= 9 and fault.effect == "none" for fault in rows)


def test_one_controller_is_lost_at_restarts_until_its_hub_has_a_supply(story: Story) -> None:
    rows = listed(story, "Sprig 12", "control-not-recognised")
    on_hub = [fault.on for fault in rows if fault.item == "MK-02"]
    assert len(on_hub) == 6
    assert sum(day < date(2026, 5, 11) for day in on_hub) == 5
    assert sum(fault.item == "MK-01" for fault in rows) == 1


@pytest.mark.parametrize(
    ("topic", "done", "worked", "tried"),
    [
        ("display-colour-shift", "replug", 2, 9),
        ("display-colour-shift", "output-off-on", 7, 8),
        ("display-colour-shift", "restarted the computer", 3, 3),
        ("display-colour-shift", "set-by-hand", 2, 2),
        ("control-not-recognised", "replug", 6, 6),
        ("control-not-recognised", "permission", 1, 1),
        ("cable-intermittent", "held the lead and watched", 5, 7),
        ("cable-intermittent", "swap", 7, 7),
    ],
)
def test_each_fix_was_used_as_often_as_told(
    story: Story, topic: str, done: str, worked: int, tried: int
) -> None:
    topics = {fault.number: fault.topic for fault in story.faults}
    uses = [
        attempt.worked
        for attempt in story.attempts
        if topics[attempt.fault] == topic and done in (attempt.fix, attempt.what)
    ]
    assert (sum(uses), len(uses)) == (worked, tried)


def test_every_fix_that_was_tried_stands_in_the_entry_of_the_fault(story: Story) -> None:
    topics = {fault.number: fault.topic for fault in story.faults}
    tried: dict[str, set[str]] = {}
    for attempt in story.attempts:
        if attempt.fix is not None:
            tried.setdefault(topics[attempt.fault], set()).add(attempt.fix)
    for topic, fixes in tried.items():
        text = (ROOT / "entries" / f"{topic}.md").read_text(encoding="utf-8")
        entry = parse.entry_from(text)
        known = {fix.key for fix in entry.fixes} | ({SWAP_KEY} if entry.swap else set())
        assert fixes <= known, topic


def test_every_fault_belongs_to_an_entry(story: Story) -> None:
    known = {path.stem for path in (ROOT / "entries").glob("*.md")}
    assert {fault.topic for fault in story.faults} <= known


def test_services_cover_as_many_items_as_told(story: Story) -> None:
    results = {
        service.on: Counter(
            found.result for found in story.service_items if found.service == service.number
        )
        for service in story.services
        if service.work.startswith("Yearly")
    }
    assert results == {
        date(2025, 8, 5): {"pass": 48},
        date(2026, 1, 12): {"pass": 36, "fail": 1},  # and a lead that is not in the list
        date(2026, 8, 11): {"pass": 44, "marginal": 1},
    }


def test_every_name_that_is_used_is_known(story: Story) -> None:
    items = {item.name for item in story.items}
    places = [place.key for place in story.places]
    people = {person.initials for person in story.people}
    models = {model.name for model in story.models}
    assert len(models) == len(story.models)
    assert {item.model for item in story.items} == models
    for place in story.places:
        assert place.parent is None or places.index(place.parent) < places.index(place.key)
    assert {item.place for item in story.items} | {move.place for move in story.moves} <= {*places}
    assert {move.item for move in story.moves} <= items
    assert {loan.item for loan in story.loans if loan.item} <= items
    assert {found.item for found in story.service_items} <= items
    assert {speed.drive for speed in story.drive_speeds} == {i for i in items if i[:2] == "DR"}
    assert {spare.place for spare in story.spares} <= {*places}
    assert {model for spare in story.spares for model in spare.models} <= models
    assert {count.spare for count in story.spare_counts} <= {one.name for one in story.spares}
    assert {model for note in story.notes for model in note.about} <= models
    for fault in story.faults:
        assert {fault.item, fault.cause_item, fault.seen_on or fault.item} <= items
        assert (fault.seen_on is None) == (fault.seen_at in places)
        assert fault.reporter in people


def test_nobody_reports_before_joining_or_after_leaving(story: Story) -> None:
    people = {person.initials: person for person in story.people}
    for fault in story.faults:
        who = people[fault.reporter]
        assert who.since is None or who.since <= fault.on
        assert who.until is None or fault.on <= who.until
