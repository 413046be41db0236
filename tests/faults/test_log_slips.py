"""A slip in a report is mended, its history kept; two reports of one fault become one."""

from datetime import timedelta
from typing import Any

import pytest
from builders import a_cable, a_place, an_item
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry, an_entry_text
from sqlmodel import Session

from kb.crew import people
from kb.entries import evidence, library
from kb.entries.outcomes import Evidence
from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.faults import closing, log, views
from kb.faults.views import FaultPage
from kb.gear import items, places, shows
from kb.records import journal
from kb.records.kinds import CauseKind, EntryStatus, FaultState

HOUR = timedelta(hours=1)
WEEKS_LATER = NOW + timedelta(days=21)


def page(session: Session, number: int) -> FaultPage:
    return views.fault_page(session, number, NOW, 7)


def correct(session: Session, number: int, seen: int | None = None, **values: object) -> FaultPage:
    log.correct_fault(session, number, values, NOW, seen)
    return page(session, number)


def behind(session: Session, slug: str = "display-no-signal") -> dict[str, Evidence]:
    key = library.entry_by(session, slug).key
    return evidence.of_entries(session, [key], WEEKS_LATER, 7).get(key, {})


def test_the_wrong_item_scanned_is_put_right(session: Session) -> None:
    a_place(session, "RR")
    an_item(session, "CC-05", place="RR")
    an_item(session, "CC-06", place=a_place(session, "ST"))
    number = a_fault(session, "CC-05", effect="degraded", minutes_lost=4)
    found = correct(session, number, item="CC-06")
    assert (found.line.item, found.line.place, found.version) == ("CC-06", "ST", 2)
    # What was not named stays.
    assert (found.line.effect, found.line.minutes_lost) == ("degraded", 4)
    steps = journal.steps(session, "fault", number)
    assert set(steps[-1].changes) == {"seen_item_id", "seen_place_id"}
    assert log.fault_by(session, number).text == "five is greenish since power-up"


def test_the_end_of_a_cable_goes_where_the_right_item_has_none(session: Session) -> None:
    a_cable(session, "HD-01")
    a_cable(session, "HD-02")
    an_item(session)
    number = a_fault(session, "HD-01", end="A")
    assert correct(session, number, item="HD-02").end == "A"
    assert correct(session, number, end="B").end == "B"
    assert correct(session, number, item="CC-01").end == ""
    with pytest.raises(InvalidError, match="only a cable has ends"):
        correct(session, number, end="A")


def test_the_blame_goes_with_the_item_that_had_it(session: Session) -> None:
    for name in ("CC-05", "CC-06", "CC-07"):
        an_item(session, name)
    by_default, by_name = a_fault(session, "CC-05"), a_fault(session, "CC-05")
    closing.close_fault(session, by_default, {"kind": "own failure"}, NOW)
    closing.close_fault(session, by_name, {"kind": "own failure", "item": "CC-07"}, NOW)
    assert correct(session, by_default, item="CC-06").line.cause_item == "CC-06"
    assert correct(session, by_name, item="CC-06").line.cause_item == "CC-07"


def test_the_evidence_follows_the_right_item(session: Session) -> None:
    for name in ("CC-05", "CC-06"):
        an_item(session, name)
    slug = an_entry(session)
    first = a_fault(session, "CC-05", entry=slug)
    a_try(session, first)
    a_fault(session, "CC-05", NOW + timedelta(days=2), entry=slug)
    # It seems to have come back on the same computer.
    assert behind(session)["replug"].worked == 0
    log.correct_fault(session, first, {"item": "CC-06"}, NOW)
    assert behind(session)["replug"].worked == 1


def test_a_report_with_nothing_left_of_what_it_named_can_still_be_mended(
    session: Session,
) -> None:
    a_place(session, "shelf S3")
    people.add_person(session, {"name": "S.V."})
    slug = an_entry(session)
    number = a_fault(session, None, place="shelf S3", entry=slug, reporter="S.V.")
    library.set_status(session, slug, EntryStatus.WITHDRAWN)
    people.change_person(session, "S.V.", {"name": "S. V."})
    places.retire_place(session, "shelf S3", NOW)
    found = correct(session, number, text="the other shelf hums")
    assert found.line.text == "the other shelf hums"
    assert (found.line.place, found.line.entry, found.line.reporter) == ("shelf S3", slug, "S.V.")


def test_a_field_can_be_emptied(session: Session) -> None:
    a_place(session)
    an_item(session, place="RR")
    number = a_fault(session, entry=an_entry(session), minutes_lost=3)
    found = correct(session, number, entry="", minutes_lost=None)
    assert (found.line.entry, found.line.minutes_lost) == ("", None)
    with pytest.raises(InvalidError, match="name the item, or the place"):
        correct(session, number, item="")
    assert correct(session, number, item="", place="RR").line.item == ""


def test_the_time_of_a_report_can_be_put_right(session: Session) -> None:
    for name in ("RR", "ST", "WS"):
        a_place(session, name)
    an_item(session, place="RR")
    items.move_item(session, "CC-01", "ST", NOW - HOUR)
    show = shows.add_show(session, {"title": "Panel", "air_at": NOW - 3 * HOUR})
    number = a_fault(session)
    found = correct(session, number, noticed_at=NOW - 2 * HOUR)
    assert (found.line.noticed_at, found.line.place) == (NOW - 2 * HOUR, "RR")
    assert found.show == show
    # A place that somebody named is kept.
    named = a_fault(session, place="WS")
    assert correct(session, named, noticed_at=NOW - 2 * HOUR).line.place == "WS"


@pytest.mark.parametrize("act", ["tried", "closed"])
def test_a_report_comes_before_what_was_done(session: Session, act: str) -> None:
    an_item(session)
    an_entry(session)
    number = a_fault(session, at=NOW - 2 * HOUR)
    if act == "tried":
        a_try(session, number, entry="display-no-signal", outcome=FAILED, at=NOW - HOUR)
    else:
        closing.close_fault(session, number, {"kind": "unknown"}, NOW - HOUR)
    with pytest.raises(InvalidError, match="before that"):
        correct(session, number, noticed_at=NOW - HOUR + timedelta(seconds=1))
    assert correct(session, number, noticed_at=NOW - HOUR).line.noticed_at == NOW - HOUR
    with pytest.raises(InvalidError, match="in the future"):
        correct(session, number, noticed_at=NOW + HOUR)


def test_the_second_of_two_writers_is_told_of_the_first(session: Session) -> None:
    an_item(session, "CC-05")
    an_item(session, "CC-06")
    number = a_fault(session, "CC-05")
    seen = page(session, number).version
    correct(session, number, seen, text="five is green")
    with pytest.raises(ConflictError) as error:
        correct(session, number, seen, item="CC-06")
    assert "version 1 then, 2 now" in error.value.message
    assert "text 'five is greenish since power-up' -> 'five is green'" in error.value.message
    assert page(session, number).line.item == "CC-05"


@pytest.mark.parametrize(
    "values", [{"item": "CC-99"}, {"place": "nowhere"}, {"entry": "no-such"}, {"reporter": "X.Y."}]
)
def test_what_is_not_known_changes_nothing(session: Session, values: dict[str, Any]) -> None:
    an_item(session)
    number = a_fault(session)
    with pytest.raises(NotFoundError):
        correct(session, number, **values)
    assert page(session, number).version == 1


def test_two_reports_of_one_fault_become_one(session: Session) -> None:
    an_item(session)
    a_place(session)
    slug = an_entry(session)
    gone = a_fault(session, at=NOW - HOUR, entry=slug, minutes_lost=6)
    kept = a_fault(session, None, place="RR")
    tried = a_try(session, gone, at=NOW - timedelta(minutes=30))
    log.merge_fault(session, gone, kept)
    found = page(session, kept)
    assert found.line.number == page(session, gone).line.number == kept
    assert [one.number for one in found.attempts] == [tried]
    assert found.line.noticed_at == NOW - HOUR
    # The fix that worked on the one restored the other.
    assert found.line.state is FaultState.WATCHED
    # What only the first report knew is taken over, what the second said stays.
    assert (found.line.item, found.line.place) == ("CC-01", "RR")
    assert (found.line.entry, found.line.minutes_lost) == (slug, 6)
    assert [one.number for one in views.fault_lines(session, NOW, 7)] == [kept]
    assert behind(session)["replug"].worked == 1


def test_a_merged_report_leads_on_to_the_last(session: Session) -> None:
    an_item(session)
    one, two, three = (a_fault(session) for _ in range(3))
    log.merge_fault(session, one, two)
    log.merge_fault(session, two, three)
    assert log.fault_by(session, one).key == three
    with pytest.raises(ConflictError, match="are one already"):
        log.merge_fault(session, one, three)
    with pytest.raises(ConflictError, match="are one already"):
        log.merge_fault(session, three, three)
    with pytest.raises(NotFoundError):
        log.merge_fault(session, three, 99)


def test_the_cause_found_on_one_report_is_that_of_both(session: Session) -> None:
    an_item(session)
    gone = a_fault(session, at=NOW - HOUR)
    kept = a_fault(session, at=NOW - HOUR / 2)
    closing.close_fault(session, gone, {"kind": "handling", "note": "trodden on"}, NOW)
    log.merge_fault(session, gone, kept)
    found = page(session, kept)
    assert (found.line.cause_kind, found.cause_note) == (CauseKind.HANDLING, "trodden on")
    assert (found.closed_at, found.line.cause_item) == (NOW, "CC-01")


def test_a_cause_found_before_the_second_report_does_not_close_it(session: Session) -> None:
    an_item(session)
    gone = a_fault(session, at=NOW - 2 * HOUR)
    closing.close_fault(session, gone, {"kind": "handling"}, NOW - HOUR)
    kept = a_fault(session)
    log.merge_fault(session, gone, kept)
    assert page(session, kept).line.state is FaultState.OPEN


def test_a_report_that_is_open_opens_none_that_is_closed(session: Session) -> None:
    an_item(session)
    gone, kept = a_fault(session), a_fault(session)
    closing.close_fault(session, kept, {"kind": "unknown"}, NOW)
    log.merge_fault(session, gone, kept)
    assert page(session, kept).line.cause_kind == CauseKind.UNKNOWN


def test_an_entry_named_in_a_correction_must_be_in_use(session: Session) -> None:
    an_item(session)
    library.save_entry(session, an_entry_text("other-one"), NOW, status=EntryStatus.WITHDRAWN)
    with pytest.raises(ConflictError, match="was withdrawn"):
        correct(session, a_fault(session), entry="other-one")
