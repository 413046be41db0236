"""A screen or phone keeps its room; a clock that is wrong is told on every page."""

from datetime import timedelta

import pytest
from visiting import at_the_machine
from web.conftest import Lan

from kb import clock
from kb.records import workspace
from kb.records.steady import SteadyClock
from kb.web import app

pytestmark = pytest.mark.slow
ROOM = "Thrennow House/Rack room"


def test_a_phone_keeps_its_room_and_can_look_further(lan: Lan) -> None:
    phone = lan.phone("J.P.")
    assert phone.post("/screen", data={"room": ROOM, "back": "/gear"}).status_code == 303

    assert f"in {ROOM}" in phone.get("/gear").text
    for path, chosen in (("/", True), ("/?place=", False)):
        assert (f'name="place" value="{ROOM}"' in phone.get(path).text) is chosen
    phone.post("/screen", data={"room": ""})
    assert f"in {ROOM}" not in phone.get("/gear").text


@pytest.mark.parametrize("room", ["nowhere", "<b>", "../..", "Office\r\nSet-Cookie: a=b"])
def test_what_is_no_room_is_not_kept(room: str, lan: Lan) -> None:
    lan.lead.post("/screen", data={"room": room})

    assert 'name="place"' not in lan.lead.get("/").text


def test_a_room_that_is_gone_stops_no_search(lan: Lan) -> None:
    lan.lead.cookies.set("kitlore-room", "Gone")

    for path in ("/", "/?q=pink", "/?q=pink&place="):
        assert lan.lead.get(path).status_code == 200


def test_a_phone_is_told_whose_it_is_and_chooses_nobody_else(lan: Lan) -> None:
    page = lan.phone("J.P.").get("/screen").text

    assert "let in as J.P." in page
    assert 'name="who"' not in page


@pytest.mark.parametrize("wrong", [timedelta(hours=3), -timedelta(days=900)])
def test_a_clock_that_is_wrong_is_told_and_spoils_nothing(
    wrong: timedelta, lan: Lan, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = lan.app.state.place.folder / "kitlore.toml"
    kept = [line for line in settings.read_text().splitlines() if not line.startswith("today")]
    settings.write_text("\n".join(kept))
    made = app.create_app(workspace.opened(settings.parent))
    last = clock.now() + wrong
    made.state.steady = SteadyClock(last, clock.ticks())
    with at_the_machine(made) as client:
        assert "Set the clock" in client.get("/").text
        fault = client.post("/CC-05/log", data={"text": "at power-on"}).headers["location"]
        number = fault.rsplit("/", 1)[1]
        noticed = client.get(f"/api/faults/{number}").json()["line"]["noticed_at"]
        assert noticed[:16] == f"{last:%Y-%m-%dT%H:%M}"
        monkeypatch.setattr(clock, "now", lambda: last + timedelta(days=1))
        assert "Set the clock" not in client.get("/").text
