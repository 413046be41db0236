"""What the invented studio tells of its use is what its story tells, who and when included."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlmodel import Session, col, select

from kb.demo import gear_acts
from kb.demo import story as told
from kb.demo.story import Story
from kb.gear import lookup, shows
from kb.records.kinds import ShowKind
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item
from kb.records.tables.journal import History
from kb.records.tables.use import Show
from kb.search import unanswered

LONDON = ZoneInfo("Europe/London")
# The machine's time of day on the story's last day; London's clock shows UTC by then.
NOW = datetime(2026, 10, 31, 15, 30, tzinfo=UTC)

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def story() -> Story:
    return told.load()


def names(session: Session) -> dict[int, str]:
    return {item.key: item.name for item in session.scalars(select(Item))}


def day(at: datetime) -> date:
    return at.astimezone(LONDON).date()


def test_every_fault_is_there_as_it_was_reported_and_closed(demo: Session, story: Story) -> None:
    by_key, tree, paths = names(demo), lookup.Tree(demo), gear_acts.paths(story)
    faults = demo.scalars(select(Fault).order_by(col(Fault.noticed_at), col(Fault.id))).all()
    assert len(faults) == len(story.faults) == 87
    by_text = {(one.text, one.noticed_at): one for one in faults}
    for wanted in story.faults:
        found = by_text[wanted.text, wanted.noticed_at]
        assert by_key.get(found.seen_item_id or 0) == wanted.seen_on, wanted
        if wanted.seen_at:
            assert tree.path(found.seen_place_id) == paths[wanted.seen_at]
        assert by_key.get(found.cause_item_id or 0) == wanted.cause_item
        assert found.cause_kind == wanted.cause_kind
        assert found.restored_at == wanted.restored_at
        assert (found.minutes_lost, found.effect) == (wanted.minutes, wanted.effect)
        assert found.reporter == wanted.reporter
        assert day(found.noticed_at) == wanted.on
    assert all(one.closed_at for one in faults)
    assert sum(one.minutes_lost or 0 for one in faults) == 551


def test_every_fault_names_its_entry_and_the_show_it_fell_into(
    demo: Session, story: Story
) -> None:
    slugs = {entry.key: entry.slug for entry in demo.scalars(select(Entry))}
    evenings = {show.key: show.air_at for show in demo.scalars(select(Show))}
    topics = {(one.text, one.noticed_at): one.topic for one in story.faults}
    for fault in demo.scalars(select(Fault)):
        assert slugs[fault.entry_id or 0] == topics[fault.text, fault.noticed_at]
        during = [
            show.air_at
            for show in story.shows
            if show.set_up_from <= fault.noticed_at < show.ends_at
        ]
        assert [evenings[fault.show_id]] == during if fault.show_id else during == []


def test_every_attempt_is_there_with_its_outcome(demo: Session, story: Story) -> None:
    numbers = {(one.text, one.noticed_at): one.number for one in story.faults}
    by_key = {one.key: numbers[one.text, one.noticed_at] for one in demo.scalars(select(Fault))}
    found = Counter(
        (by_key[one.fault_id], one.fix_key, one.what, one.outcome == "worked", one.at)
        for one in demo.scalars(select(Attempt))
    )
    assert found == Counter(
        (one.fault, one.fix, one.what, one.worked, one.at) for one in story.attempts
    )


def test_searches_that_found_nothing_are_kept(demo: Session, story: Story) -> None:
    found = {(one.query, one.last_at) for one in unanswered.wanted(demo)}
    assert found == {(one.query, one.at) for one in story.searches}


def test_126_shows_and_a_rehearsal_forty_minutes_ahead(demo: Session, story: Story) -> None:
    found = demo.scalars(select(Show).order_by(col(Show.air_at))).all()
    evenings = [one for one in found if one.kind == ShowKind.SHOW]
    assert [(one.set_up_from, one.air_at, one.ends_at) for one in evenings] == [
        (one.set_up_from, one.air_at, one.ends_at) for one in story.shows
    ]
    assert len(evenings) == 126
    (rehearsal,) = (one for one in found if one.kind == ShowKind.REHEARSAL)
    assert rehearsal.air_at == NOW + timedelta(minutes=40)
    assert shows.minutes_to_air(demo, NOW) == 40


def test_the_journal_tells_it_in_the_time_of_the_story(demo: Session, story: Story) -> None:
    crew = {person.initials for person in story.people}
    steps = demo.scalars(select(History).order_by(col(History.id))).all()
    assert {step.who for step in steps} <= crew
    assert {step.device for step in steps} == {"terminal"}
    times = [step.at for step in steps]
    assert times == sorted(times)
    assert times[-1] == NOW
    reported = {
        step.record_id: (step.at, step.who)
        for step in steps
        if step.kind == "fault" and step.version == 1
    }
    for fault in demo.scalars(select(Fault)):
        assert reported[fault.key] == (fault.noticed_at, fault.reporter)
