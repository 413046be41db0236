"""Shows as a calendar file (RFC 5545), for the calendar of a phone or a wall clock."""

from collections.abc import Iterable
from datetime import datetime

from icalendar import Calendar, Event

from kb.gear.shows import RUN, ShowLine


def written(shows: Iterable[ShowLine], studio: str, mark: str, at: datetime) -> bytes:
    """Return shows as an iCalendar file, each with its set-up told in words.

    Args:
        shows: Those called off too: a calendar takes an event away only where it's told.
        studio: Whose they are.
        mark: The base's own, which a copy keeps; with the number it names an event for good.
        at: The time now.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Kitlore//Shows//EN")
    calendar.add("version", "2.0")
    calendar.add("name", studio)
    for show in shows:
        calendar.add_component(_event(show, mark, at))
    return bytes(calendar.to_ical())


def _event(show: ShowLine, mark: str, at: datetime) -> Event:
    event = Event()
    event.add("uid", f"show-{show.number}@{mark}")
    event.add("dtstamp", at)
    event.add("sequence", show.version - 1)
    event.add("summary", f"{show.title} ({show.kind})" if show.kind != "show" else show.title)
    event.add("dtstart", show.air_at)
    event.add("dtend", show.ends_at or show.air_at + RUN)
    event.add("status", "CANCELLED" if show.cancelled_at else "CONFIRMED")
    if show.place:
        event.add("location", show.place)
    if show.set_up_from:
        minutes = (show.air_at - show.set_up_from).total_seconds() // 60
        event.add("description", f"Set-up begins {minutes:.0f} min before air.")
    return event
