"""Recording dates on the pages: to come and past, planned, changed, called off and back on."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from calls import NOW
from fastapi.testclient import TestClient
from form_fields import fields, rows

from kb import clock
from kb.gear import shows
from kb.records import opening, session, workspace

pytestmark = pytest.mark.slow
LONDON = ZoneInfo("Europe/London")
PLANNED = {
    "title": "Late panel",
    "kind": "rehearsal",
    "air_at": "2027-06-10 19:30",
    "set_up_from": "2027-06-10 14:00",
    "ends_at": "",
    "place": "Control room",
}


@contextmanager
def line(folder: Path, title: str) -> Iterator[shows.ShowLine]:
    """Give the show of that title as the base holds it."""
    place = workspace.opened(folder)
    engine = opening.open_engine(place)
    with session.read(engine) as unit:
        years = datetime(2020, 1, 1, tzinfo=UTC), datetime(2030, 1, 1, tzinfo=UTC)
        found = shows.shows(unit, *years, cancelled=True)
        yield next(one for one in found if one.title == title)
    engine.dispose()


def plan(client: TestClient, **other: str) -> str:
    """Plan a show, and return where it's changed."""
    answer = client.post("/shows/new", data=PLANNED | other)
    assert answer.status_code == 303
    page = client.get("/shows").text
    found = re.search(rf'href="(/shows/\d+)/change">{PLANNED["title"]}<', page)
    assert found
    return found[1]


def test_what_comes_next_stands_first_and_what_was_last_too(client: TestClient) -> None:
    for later in ("2027-06-12 19:30", "2027-06-11 19:30"):
        plan(client, air_at=later, set_up_from="")
    coming = [row[0] for row in rows(client.get("/shows").text)]
    past = [row[0] for row in rows(client.get("/shows?when=past").text)]

    assert coming[-2:] == ["2027-06-11 19:30", "2027-06-12 19:30"]
    assert coming == sorted(coming)
    assert past == sorted(past, reverse=True)
    assert past[0] < coming[0]


def test_the_pages_of_what_was_hold_every_show_once(looking: TestClient) -> None:
    address, seen = "/shows?when=past", list[str]()
    while address:
        page = looking.get(address).text
        seen += re.findall(r'href="/shows/(\d+)/change"', page)
        following = re.search(r'href="([^"]+)">More<', page)
        address = following[1].replace("&amp;", "&") if following else ""

    assert len(seen) == len(set(seen)) > 50


def test_a_show_is_planned_in_the_time_of_the_place(client: TestClient, folder: Path) -> None:
    """In June London's clock shows UTC+1: tz database, Europe/London."""
    plan(client)

    with line(folder, "Late panel") as kept:
        assert kept.air_at == datetime(2027, 6, 10, 18, 30, tzinfo=UTC)
        assert kept.set_up_from == datetime(2027, 6, 10, 13, 0, tzinfo=UTC)
        assert (kept.kind, kept.place, kept.ends_at) == ("rehearsal", "Control room", None)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"air_at": ""}, "On air at: "),
        ({"air_at": "next week"}, "On air at: &#39;next week&#39; is no time"),
        # The hour that London's clock skips: tz database, Europe/London.
        ({"air_at": "2027-03-28 01:30"}, "the clock skips it"),
        ({"ends_at": "late", "set_up_from": "early"}, "Set up from: &#39;early&#39; is no time"),
        ({"ends_at": "2027-06-10 12:00"}, "before the air time"),
        ({"title": ""}, "What it is: it is empty"),
        ({"kind": "concert"}, "Kind: "),
        ({"place": "Attic"}, "Attic"),
    ],
)
def test_what_is_wrong_in_a_plan_is_told_and_nothing_typed_is_lost(
    wrong: dict[str, str], told: str, looking: TestClient
) -> None:
    answer = looking.post("/shows/new", data=PLANNED | wrong)

    assert answer.status_code in (404, 422)
    assert told in answer.text
    for name, typed in (PLANNED | wrong).items():
        if name != "kind" and typed:
            assert f'name="{name}" type="text" value="{typed}"' in answer.text


def test_a_show_is_changed_and_what_was_left_stays(client: TestClient, folder: Path) -> None:
    there = f"{plan(client)}/change"
    typed = fields(client, there)
    assert typed["air_at"] == PLANNED["air_at"]

    answer = client.post(there, data=typed | {"ends_at": "2027-06-10 21:00", "set_up_from": ""})

    assert answer.status_code == 303
    with line(folder, "Late panel") as kept:
        assert kept.air_at.astimezone(LONDON) == datetime(2027, 6, 10, 19, 30, tzinfo=LONDON)
        assert kept.ends_at == datetime(2027, 6, 10, 20, 0, tzinfo=UTC)
        assert kept.set_up_from is None
        assert kept.place == "Control room"


def test_the_second_of_two_sees_what_the_first_changed(client: TestClient) -> None:
    there = f"{plan(client)}/change"
    typed = fields(client, there)
    client.post(there, data=typed | {"air_at": "2027-06-10 20:00"})

    answer = client.post(there, data=typed | {"air_at": "2027-06-10 21:00"})

    assert answer.status_code == 409
    assert "&#39;2027-06-10 20:00&#39; now" in answer.text
    assert 'value="2027-06-10 21:00"' in answer.text


def test_a_show_is_called_off_and_back_on(client: TestClient) -> None:
    off = f"{plan(client)}/cancel"

    def stands() -> list[str]:
        return next(row[2:] for row in rows(client.get("/shows").text) if row[1] == "Late panel")

    assert stands()[0].endswith("planned")
    client.post(off, data=fields(client, off))
    assert stands()[0].endswith("called off")
    assert stands()[-1] == "take that back"

    client.post(off.replace("cancel", "reinstate"), data=fields(client, off))
    assert stands()[0].endswith("planned")


def test_who_calls_off_what_was_called_off_meanwhile_is_told(client: TestClient) -> None:
    off = f"{plan(client)}/cancel"
    typed = fields(client, off)
    client.post(off, data=typed)

    answer = client.post(off, data=typed)

    assert answer.status_code == 409
    assert "take place after all?" in answer.text


@pytest.mark.parametrize(
    ("hour", "minute", "told"),
    [
        (3, 0, "Next on air: 2026-10-31 16:10, Rehearsal."),
        (15, 30, "40 min to air: Rehearsal."),
        (16, 20, "On air since 16:10."),
    ],
)
def test_the_minutes_to_air_are_told_when_they_count(
    hour: int, minute: int, told: str, looking: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The demonstration's day ends with a rehearsal at 16:10; its clock tells hours alone."""
    monkeypatch.setattr(clock, "now", lambda: NOW.replace(hour=hour, minute=minute))

    assert told in looking.get("/shows").text


def test_an_unknown_show_is_told(looking: TestClient) -> None:
    for path in ("/shows/99999/change", "/shows/99999999999/cancel"):
        assert looking.get(path).status_code == 404
