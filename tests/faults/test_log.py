"""A fault is logged with what is known: in words, on an item or at a place."""

from datetime import UTC, datetime, timedelta

import pytest
from builders import BEGAN, a_cable, a_drive, a_place, an_item
from fault_builders import NOW, a_fault, an_entry
from sqlmodel import Session

from kb.crew import people
from kb.entries import library
from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.faults import log, views
from kb.faults.views import FaultPage
from kb.gear import codes, items, shows
from kb.records import journal
from kb.records.kinds import CableEnd, Effect, EntryStatus, FaultState

HOUR = timedelta(hours=1)


def page(session: Session, number: int) -> FaultPage:
    return views.fault_page(session, number, NOW, 7)


def refused(session: Session, **values: object) -> str:
    """Return the sentences of a report that is refused."""
    with pytest.raises(InvalidError) as error:
        log.log_fault(session, {"text": "pink", **values}, NOW)
    return error.value.message


@pytest.mark.parametrize("spelled", ["code", "shown", "lower", "name", "NAME"])
def test_a_fault_is_logged_by_code_or_name(session: Session, spelled: str) -> None:
    code = an_item(session, "laptop 3", place=a_place(session))
    typed = {
        "code": code,
        "shown": codes.shown(code),
        "lower": code.lower(),
        "name": "laptop 3",
        "NAME": "LAPTOP 3",
    }[spelled]
    number = a_fault(session, typed, text=" everything\nlooks  pink ")
    found = page(session, number)
    assert (found.line.item, found.line.code, found.line.place) == ("laptop 3", code, "RR")
    # A report keeps its lines; only its ends are trimmed.
    assert found.line.text == "everything\nlooks  pink"
    assert found.line.state is FaultState.OPEN
    assert found.line.noticed_at == NOW
    assert (found.line.effect, found.line.minutes_lost, found.line.entry) == (
        Effect.NONE,
        None,
        "",
    )


def test_a_fault_of_no_known_item_is_logged_at_a_place(session: Session) -> None:
    a_place(session)
    a_place(session, "R1", kind="rack", within="RR")
    found = page(session, a_fault(session, None, place="rr/r1"))
    assert (found.line.item, found.line.code, found.line.place) == ("", "", "RR/R1")


def test_a_place_that_is_named_goes_before_where_the_item_lies(session: Session) -> None:
    a_place(session)
    a_place(session, "ST")
    an_item(session, place="RR")
    assert page(session, a_fault(session, place="ST")).line.place == "ST"


def test_everything_that_is_known_is_kept(session: Session) -> None:
    a_cable(session, place=a_place(session))
    people.add_person(session, {"name": "T.R."})
    slug = an_entry(session)
    number = a_fault(
        session,
        "HD-01",
        end="B",
        effect="one source lost",
        minutes_lost="11",
        entry=slug,
        reporter="T.R.",
        noticed_at=NOW - HOUR,
    )
    found = page(session, number)
    assert (found.end, found.line.effect) == (CableEnd.B, Effect.SOURCE_LOST)
    assert (found.line.minutes_lost, found.line.entry, found.line.reporter) == (11, slug, "T.R.")
    assert found.line.noticed_at == NOW - HOUR


def test_without_a_reporter_whoever_writes_reports(session: Session) -> None:
    an_item(session)
    assert page(session, a_fault(session)).line.reporter == "M.O."
    # The login name needs no record of a person.
    assert page(session, a_fault(session, reporter="M.O.")).line.reporter == "M.O."


def test_the_place_is_where_the_item_lay_at_that_time(session: Session) -> None:
    for name in ("RR", "ST", "WS"):
        a_place(session, name)
    an_item(session, place="RR")
    items.move_item(session, "CC-01", "ST", NOW - 2 * HOUR)
    items.move_item(session, "CC-01", "WS", NOW - HOUR)
    noticed = {
        NOW: "WS",
        NOW - HOUR: "WS",  # put there at that very moment
        NOW - timedelta(minutes=61): "ST",
        NOW - 3 * HOUR: "RR",
        BEGAN - HOUR: "RR",  # before it came: where it was first put
    }
    for when, place in noticed.items():
        assert page(session, a_fault(session, noticed_at=when)).line.place == place


def test_an_item_without_a_place_is_logged_all_the_same(session: Session) -> None:
    an_item(session)
    assert page(session, a_fault(session)).line.place == ""


def test_a_fault_hangs_on_the_show_of_its_time(session: Session) -> None:
    an_item(session)
    number = shows.add_show(session, {"title": "Panel", "air_at": NOW, "ends_at": NOW + 2 * HOUR})
    assert page(session, a_fault(session)).show == number
    long_before = NOW - timedelta(days=30)
    assert page(session, a_fault(session, noticed_at=long_before)).show is None


def test_a_retry_with_the_same_key_logs_nothing_twice(session: Session) -> None:
    an_item(session)
    first = a_fault(session, client_key="phone-1:17")
    assert a_fault(session, client_key="phone-1:17") == first
    assert page(session, first).line.text == "five is greenish since power-up"
    other = a_fault(session, client_key="phone-1:18")
    assert other != first
    log.merge_fault(session, first, other)
    assert a_fault(session, client_key="phone-1:17") == other


def test_only_a_cable_has_ends(session: Session) -> None:
    a_cable(session)
    a_drive(session)
    a_place(session)
    assert page(session, a_fault(session, "HD-01", end="A")).end == "A"
    assert "only a cable has ends" in refused(session, item="DR-01", end="A")
    assert "only a cable has ends" in refused(session, place="RR", end="B")
    assert "'C' is none of" in refused(session, item="HD-01", end="C")


def test_what_is_wrong_is_named_field_by_field(session: Session) -> None:
    an_item(session)
    told = refused(
        session,
        text="  ",
        item="CC-01",
        effect="terrible",
        minutes_lost="-1",
        colour="pink",
        reporter="A\x00B",
    )
    named = [line.split(":")[0] for line in told.splitlines()]
    assert named == ["text", "effect", "minutes lost", "reporter", "colour"]
    assert "name the item, or the place" in refused(session)


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"item": "CC-99"}, "No item 'CC-99'. Near to it: CC-01."),
        ({"item": "CC-01", "place": "nowhere"}, "No place 'nowhere'."),
        ({"item": "CC-01", "entry": "no-such"}, "No entry 'no-such'."),
        ({"item": "CC-01", "reporter": "X.Y."}, "No person 'X.Y.'."),
    ],
)
def test_what_is_not_known_is_told(
    session: Session, values: dict[str, str], sentence: str
) -> None:
    an_item(session)
    with pytest.raises(NotFoundError) as error:
        log.log_fault(session, {"text": "pink", **values}, NOW)
    assert error.value.message.startswith(sentence)


def test_a_code_with_a_wrong_character_is_refused(session: Session) -> None:
    code = an_item(session)
    wrong = code[:-1] + ("7" if code[-1] != "7" else "4")
    with pytest.raises(InvalidError, match="last character does not agree"):
        a_fault(session, wrong)


def test_a_withdrawn_entry_is_not_named(session: Session) -> None:
    an_item(session)
    library.set_status(session, an_entry(session), EntryStatus.WITHDRAWN)
    with pytest.raises(ConflictError, match="was withdrawn"):
        a_fault(session, entry="display-no-signal")


def test_the_future_is_refused(session: Session) -> None:
    an_item(session)
    assert "that is in the future" in refused(
        session, item="CC-01", noticed_at=NOW + timedelta(seconds=1)
    )
    assert "noticed at" in refused(session, item="CC-01", noticed_at=datetime(2026, 1, 1))  # noqa: DTZ001 - naive on purpose


def test_a_number_is_found_or_told(session: Session) -> None:
    an_item(session)
    number = a_fault(session)
    assert log.fault_by(session, number).key == number
    # The last one is longer than any key that a database holds.
    for unknown in (number + 1, 0, 2**31, 10**30):
        with pytest.raises(NotFoundError, match="No fault"):
            log.fault_by(session, unknown)
        with pytest.raises(NotFoundError, match="No fault"):
            log.fault_for_change(session, unknown)


def test_the_journal_tells_who_logged_it_when(session: Session) -> None:
    an_item(session)
    number = a_fault(session)
    (step,) = journal.steps(session, "fault", number)
    assert (step.who, step.device, step.version) == ("M.O.", "terminal", 1)
    assert step.at == datetime(2026, 3, 19, 12, tzinfo=UTC)
    assert step.changes["text"] == (None, "five is greenish since power-up")


def test_other_words_under_a_known_mark_are_another_report(session: Session) -> None:
    an_item(session)
    first = a_fault(session, text="green", client_key="press")

    other = a_fault(session, text="hum", client_key="press")
    log.correct_fault(session, first, {"text": "pink"}, NOW)

    assert other != first
    assert a_fault(session, text="green", client_key="press") == first
