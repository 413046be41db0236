"""Entries in short: how they are said, how they are mended, how often that was tried here."""

from datetime import timedelta

import pytest
from builders import a_place, an_item
from fault_builders import NOW, a_fault, a_try, an_entry, an_entry_text
from sqlmodel import Session

from kb.entries import library, overview
from kb.entries.library import EntryLine
from kb.faults import attempts
from kb.records.kinds import EntryStatus

LATER = NOW + timedelta(hours=1)


def test_a_summary_counts_what_was_said_and_tried(session: Session) -> None:
    a_place(session)
    an_item(session, place="RR")
    an_entry(session, "audio-hum")
    an_entry(session)
    number = a_fault(session, entry="display-no-signal")
    a_try(session, number, "replug", outcome="did not work")
    a_try(session, number, "swap", at=LATER)
    slip = a_try(session, number, "restart", at=LATER + timedelta(hours=1))
    attempts.strike_attempt(session, slip, "wrong button", LATER)
    typed = {"what": "waited", "outcome": "worked"}
    attempts.record_attempt(session, number, typed, LATER + timedelta(hours=2))
    lines = library.entry_lines(session)
    told = {one.line.slug: one for one in overview.summaries(session, lines)}

    assert [one.slug for one in lines] == list(told)
    tried, untried = told["display-no-signal"], told["audio-hum"]
    assert (tried.symptoms, tried.fixes, tried.tries, tried.last_on) == (1, 2, 2, LATER)
    assert (untried.tries, untried.last_on) == (0, None)


def test_drafts_and_withdrawn_ones_are_told_too(session: Session) -> None:
    library.add_draft(session, an_entry_text("green-wall"), NOW)
    an_entry(session)
    library.set_status(session, "display-no-signal", EntryStatus.WITHDRAWN)
    told = overview.summaries(session, library.entry_lines(session))

    assert {one.line.status for one in told} == {"draft", "withdrawn"}
    assert overview.summaries(session, ()) == ()


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        ("", True),
        ("HUM", True),
        ("louds hum", True),
        ("audio-hum", True),
        ("hum whistle", False),
        ("AUDIO", True),
    ],
)
def test_words_are_looked_for_in_title_and_slug(text: str, fits: bool) -> None:  # noqa: FBT001
    line = EntryLine("audio-hum", "Hum in the loudspeakers", "Audio", "accepted", 1, 1)

    assert overview.worded([line], text) == ((line,) if fits else ())


def test_an_entry_is_found_by_the_whole_of_a_source(session: Session) -> None:
    text = an_entry_text(sources=("our own fault 12", "common practice, no source"))
    library.add_draft(session, text, NOW)
    found = overview.naming(session, "our own fault 12")

    assert [one.slug for one in found] == ["display-no-signal"]
    assert overview.naming(session, "our own fault 1") == ()
