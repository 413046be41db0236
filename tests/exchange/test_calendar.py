"""Shows as a calendar: read back by icalendar, and by the rules of RFC 5545 themselves."""

from datetime import UTC, datetime, timedelta
from typing import Any

from icalendar import Calendar

from kb.exchange import calendar
from kb.gear.shows import ShowLine

AIR = datetime(2026, 11, 5, 19, 0, tzinfo=UTC)
NOW = datetime(2026, 11, 1, 9, 0, tzinfo=UTC)


def a_show(number: int = 1, **over: object) -> ShowLine:
    values: dict[str, object] = {
        "number": number,
        "version": 3,
        "title": "Panel; the sea, and what it costs",
        "kind": "show",
        "place": "Studio floor",
        "set_up_from": AIR - timedelta(minutes=90),
        "air_at": AIR,
        "ends_at": AIR + timedelta(hours=2),
        "cancelled_at": None,
    }
    return ShowLine(**(values | over))  # type: ignore[arg-type]


def test_a_reader_gets_back_what_was_planned() -> None:
    shows = (a_show(), a_show(2, cancelled_at=NOW, ends_at=None, kind="rehearsal", place=None))

    read = Calendar.from_ical(calendar.written(shows, "studio", "mark", NOW))

    events: list[Any] = read.walk("VEVENT")
    first, second = events
    assert first["summary"] == "Panel; the sea, and what it costs"
    assert (first["dtstart"].dt, first["dtend"].dt) == (AIR, AIR + timedelta(hours=2))
    assert (first["uid"], first["status"], first["sequence"]) == ("show-1@mark", "CONFIRMED", 2)
    assert first["description"] == "Set-up begins 90 min before air."
    assert first["location"] == "Studio floor"
    assert second["status"] == "CANCELLED"
    assert second["dtend"].dt == AIR + timedelta(hours=4)
    assert second["summary"].endswith("(rehearsal)")


def test_lines_end_and_fold_as_the_standard_says() -> None:
    """RFC 5545, 3.1: lines end in CRLF and have 75 octets at most, without the line's end."""
    text = calendar.written((a_show(title="ä" * 300),), "studio", "mark", NOW)

    assert text.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in text.replace(b"\r\n", b"")
    assert max(len(line) for line in text.split(b"\r\n")) <= 75
    # 3.6 and 3.6.1: what a calendar and an event must have.
    for name in (b"PRODID:", b"VERSION:2.0", b"UID:", b"DTSTAMP:20261101T090000Z"):
        assert name in text
    assert b"DTSTART:20261105T190000Z" in text


def test_without_a_show_it_is_a_calendar_still() -> None:
    assert Calendar.from_ical(calendar.written((), "studio", "mark", NOW)).walk("VEVENT") == []
