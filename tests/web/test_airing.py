"""How near the air time is: of the room that a screen keeps, else of any."""

from datetime import UTC, datetime, timedelta

from builders import a_place
from sqlmodel import Session

from kb.gear import shows
from kb.web import airing

NOW = datetime(2026, 3, 19, 17, 0, tzinfo=UTC)


def told(session: Session, room: str) -> str | None:
    near = airing.air(session, NOW, room)
    return near.show.title if near else None


def test_the_show_of_the_room_goes_before_an_earlier_one_elsewhere(session: Session) -> None:
    for name in ("Studio", "Annexe", "Store"):
        a_place(session, name)
    for title, place, hours in (("Soon", "Studio", 1), ("Later", "Annexe", 3)):
        at = NOW + timedelta(hours=hours)
        shows.add_show(session, {"title": title, "place": place, "air_at": at})

    assert told(session, "Annexe") == "Later"
    assert told(session, "Studio") == "Soon"
    # Where none is planned, and for a room that is no more, the nearest of all is told.
    assert told(session, "Store") == told(session, "Attic") == told(session, "") == "Soon"
