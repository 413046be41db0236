"""What a room has of its own holds for what lies in it, unless something nearer says otherwise."""

import pytest
from builders import a_place
from sqlmodel import Session

from kb.errors import InvalidError
from kb.gear import lookup, places, rooms
from kb.gear.rooms import Room


@pytest.fixture(autouse=True)
def _house(session: Session) -> None:
    a_place(session, "House", kind="site", minute_cost="12", picture="1080p at 50 frames")
    a_place(session, "Studio", within="House", minute_cost="30.50", sound="48 kHz")
    a_place(session, "rack", within="House/Studio", kind="rack")
    a_place(session, "Store", within="House")
    a_place(session, "Elsewhere", kind="site")


def at(session: Session, path: str) -> Room | None:
    return rooms.at_places(session).get(lookup.place(session, path).key)


def test_the_nearest_place_above_says_it_each_for_itself(session: Session) -> None:
    assert at(session, "House/Studio/rack") == Room(3050, "1080p at 50 frames", "48 kHz")
    assert at(session, "House/Store") == Room(1200, "1080p at 50 frames", None)
    assert at(session, "Elsewhere") is None
    key = lookup.place(session, "House/Studio/rack").key
    assert rooms.minute_costs(session)[key] == 3050


def test_what_is_not_given_stays_and_an_empty_text_empties(session: Session) -> None:
    places.change_place(session, "House/Studio", {"name": "Floor"})
    assert at(session, "House/Floor") == Room(3050, "1080p at 50 frames", "48 kHz")

    places.change_place(session, "House/Floor", {"minute_cost": "", "sound": ""})
    assert at(session, "House/Floor/rack") == Room(1200, "1080p at 50 frames", None)


@pytest.mark.parametrize("field", ["minute_cost", "picture", "sound"])
def test_only_a_site_or_a_room_has_any(field: str, session: Session) -> None:
    with pytest.raises(InvalidError, match="only a site or a room"):
        places.change_place(session, "House/Studio/rack", {field: "5"})
    with pytest.raises(InvalidError, match="only a site or a room"):
        places.change_place(session, "House/Studio", {"kind": "desk"})
