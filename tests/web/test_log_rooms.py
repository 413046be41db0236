"""Who knows neither thing nor place presses a room, or says nothing and is taken at the house."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import fields

pytestmark = pytest.mark.slow
RACKS = "Thrennow House/Rack room"


def logged(client: TestClient, **typed: str) -> str:
    """Log it and return where it was seen, as its page says."""
    answer = client.post("/log", data=fields(client, "/log") | {"text": "it buzzes", **typed})
    assert answer.status_code == 303, answer.text
    page = client.get(answer.headers["location"]).text
    found = re.search(r"<dt>At</dt><dd>([^<]*)</dd>", page)
    assert found
    return found[1]


def test_rooms_are_chips_without_the_house_that_all_lie_in(looking: TestClient) -> None:
    page = looking.get("/log").text

    assert f'name="room" value="{RACKS}"' in page
    assert ">Rack room</label>" in page
    assert ">don&#39;t know</label>" in page


def test_nothing_known_is_logged_at_the_house(client: TestClient) -> None:
    assert logged(client) == "Thrennow House"


def test_the_room_of_the_screen_is_pressed_already(client: TestClient) -> None:
    client.post("/screen", data={"room": RACKS})

    assert re.search(rf'value="{RACKS}" id="room-\d+" checked', client.get("/log").text)
    assert logged(client, room=RACKS) == RACKS


def test_a_place_that_is_named_and_a_thing_go_before_the_room(client: TestClient) -> None:
    assert logged(client, room=RACKS, place="R1").endswith("/R1")
    assert logged(client, room=RACKS, item="CC-05") != RACKS


def test_what_was_pressed_stays_after_a_mistake(client: TestClient) -> None:
    page = client.post("/log", data={"text": "", "room": RACKS}).text

    assert re.search(rf'value="{RACKS}" id="room-\d+" checked', page)
