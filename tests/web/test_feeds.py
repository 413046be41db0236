"""A calendar reads the shows by its address, and nothing else by anything of it."""

import re

import pytest
from fastapi.testclient import TestClient
from icalendar import Calendar
from web.conftest import Lan

from kb.web import app, doors

pytestmark = pytest.mark.slow


def made(client: TestClient, place: str = "") -> str:
    """Return the path of a new calendar's address."""
    values = {"person": "M.O.", "device": "wall", "place": place}
    answer = client.post("/access/feed", data=values)
    assert answer.status_code == 200, answer.text
    found = re.search(r"https?://[^/]+(/feed/[\w-]+\.ics)", answer.text)
    assert found
    return found[1]


def titles(text: str) -> list[str]:
    return [str(one["summary"]) for one in Calendar.from_ical(text).walk("VEVENT")]


def test_it_tells_the_shows_of_a_quarter_and_what_comes(client: TestClient) -> None:
    answer = client.get(made(client))

    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    assert any("Rehearsal" in one for one in titles(answer.text))
    assert "last read" in client.get("/access").text


def test_of_one_room_it_tells_those_there_and_those_that_name_no_place(
    client: TestClient,
) -> None:
    client.post("/places/new", data={"name": "Annexe", "kind": "room", "within": ""})
    client.post("/places/new", data={"name": "Cellar", "kind": "room", "within": ""})
    for title, place in (("There", "Annexe"), ("Not there", "Cellar"), ("Anywhere", "")):
        values = {"title": title, "place": place, "air_at": "2026-12-24 19:00"}
        assert client.post("/shows/new", data=values).status_code == 303

    told = titles(client.get(made(client, "Annexe")).text)

    assert {"There", "Anywhere"} <= set(told)
    assert "Not there" not in told


def test_ended_it_is_unknown(client: TestClient) -> None:
    path = made(client)
    ended = re.search(r'action="(/access/feed/\d+/end)"', client.get("/access").text)
    assert ended

    assert client.post(ended[1]).status_code == 303

    assert client.get(path).status_code == 404
    assert client.post(ended[1]).status_code == 404


def test_from_the_network_the_key_opens_its_address_alone(lan: Lan) -> None:
    phone = lan.phone(lan.person("lead"))
    stranger = lan.phone("")
    path = made(phone)
    key = path.removeprefix("/feed/").removesuffix(".ics")

    assert stranger.get(path).status_code == 200
    stranger.cookies.set("kitlore-phone", key)
    bearer = {"authorization": f"Bearer {key}"}
    for row, role in doors.ROWS.items():
        method, opened = row.split(" ")
        if role is not None and method == "GET" and "{" not in opened:
            answer = stranger.get(opened, headers=bearer)
            assert answer.status_code in (303, 307, 401, 403, 404), row
            assert "text/calendar" not in answer.headers.get("content-type", "")


def test_guessing_is_slowed(client: TestClient) -> None:
    answers = [client.get(f"/feed/guess{number}.ics").status_code for number in range(12)]

    assert answers[:10] == [404] * 10
    assert answers[10:] == [429] * 2


def test_a_defect_leaves_no_key_in_the_log(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = made(client)

    def broken(*_given: object) -> None:
        msg = "a bug"
        raise RuntimeError(msg)

    monkeypatch.setattr("kb.exchange.calendar.written", broken)
    with pytest.raises(RuntimeError):
        client.get(path)

    log = client.app.state.place.log.read_text()  # type: ignore[attr-defined]
    assert "GET /feed/***" in log
    assert path not in log
    assert app.ROUTES
