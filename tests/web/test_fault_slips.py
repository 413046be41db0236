"""Slips in reports and attempts: mended on a page, told to whoever comes second, kept typed."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from calls import called
from fastapi.testclient import TestClient
from form_fields import fields

pytestmark = pytest.mark.slow
Kept = Callable[[], dict[str, Any]]


@pytest.fixture
def there(client: TestClient) -> str:
    """The address of a fault that was just logged on a lead."""
    typed = {"text": "sparkles in the picture", "end": "A", "effect": "degraded"}
    answer = client.post("/HD-28/log", data=typed)
    assert answer.status_code == 303
    return str(answer.headers["location"])


@pytest.fixture
def attempt(client: TestClient, there: str) -> str:
    """The address of an attempt on it that did not work."""
    typed = {"what": "turned the lead round", "outcome": "did not work"}
    assert client.post(f"{there}/try", data=typed).status_code == 303
    found = re.search(rf'href="({there}/attempts/\d+)"', client.get(there).text)
    assert found
    return found[1]


@pytest.fixture
def kept(folder: Path, there: str) -> Kept:
    """Return what tells how the base holds the fault."""

    def told() -> dict[str, Any]:
        number = there.rpartition("/")[2]
        page: dict[str, Any] = called("-w", folder, "fault", "see", number, "--json").json
        return page

    return told


def test_the_fault_leads_to_its_form_and_the_form_holds_what_stands(
    client: TestClient, there: str
) -> None:
    assert f'href="{there}/correct"' in client.get(there).text
    typed = fields(client, f"{there}/correct")

    assert typed["text"] == "sparkles in the picture"
    assert (typed["item"], typed["end"], typed["effect"]) == ("HD-28", "A", "degraded")
    assert typed["seen"].isdecimal()


def test_a_slip_is_mended_and_the_rest_stays_to_the_second(
    client: TestClient, there: str, kept: Kept
) -> None:
    before = kept()["line"]
    typed = fields(client, f"{there}/correct")
    answer = client.post(f"{there}/correct", data=typed | {"text": "snow", "end": "B"})

    assert (answer.status_code, answer.headers["location"]) == (303, there)
    after = kept()
    assert (after["line"]["text"], after["end"]) == ("snow", "B")
    assert {**after["line"], "text": before["text"]} == before


def test_the_wrong_thing_is_put_right_and_its_end_goes(
    client: TestClient, there: str, kept: Kept
) -> None:
    typed = fields(client, f"{there}/correct") | {"item": "CC-05"}
    assert client.post(f"{there}/correct", data=typed).status_code == 303

    assert (kept()["line"]["item"], kept()["end"]) == ("CC-05", "")


def test_when_it_was_noticed_is_typed_in_the_time_of_the_place(
    client: TestClient, there: str, kept: Kept
) -> None:
    """On 2026-10-20 London's clock shows UTC+1: tz database, Europe/London."""
    typed = fields(client, f"{there}/correct") | {"noticed_at": "2026-10-20 19:00"}
    assert client.post(f"{there}/correct", data=typed).status_code == 303

    assert kept()["line"]["noticed_at"].startswith("2026-10-20T18:00:00")


@pytest.mark.parametrize(
    ("wrong", "status", "told"),
    [
        ({"text": ""}, 422, "What was reported: "),
        ({"item": "ZZ-99"}, 404, "ZZ-99"),
        ({"item": "", "place": ""}, 422, "Seen on: "),
        ({"item": "CC-05", "end": "B"}, 422, "only a cable has ends"),
        ({"minutes_lost": "some"}, 422, "Minutes lost: "),
        ({"entry": "none-such"}, 404, "none-such"),
        ({"reporter": "nobody-we-know"}, 404, "nobody-we-know"),
        ({"noticed_at": "soon"}, 422, "When: &#39;soon&#39; is no time"),
        ({"noticed_at": "2199-01-01 12:00"}, 422, "in the future"),
    ],
)
def test_a_mistake_is_told_nothing_is_changed_and_nothing_typed_is_lost(
    wrong: dict[str, str], status: int, told: str, client: TestClient, there: str, kept: Kept
) -> None:
    before = kept()
    typed = fields(client, f"{there}/correct") | wrong

    answer = client.post(f"{there}/correct", data=typed)

    assert answer.status_code == status
    assert told in answer.text
    for name, value in wrong.items():
        if name not in ("text", "end"):
            assert re.search(rf'name="{name}" type="\w+" value="{value}"', answer.text)
    assert kept() == before


def test_the_second_of_two_sees_what_the_first_mended(client: TestClient, there: str) -> None:
    typed = fields(client, f"{there}/correct")
    client.post(f"{there}/correct", data=typed | {"item": "HD-27"})

    answer = client.post(f"{there}/correct", data=typed | {"item": "HD-26"})

    assert answer.status_code == 409
    assert "&#39;HD-27&#39; now" in answer.text
    assert 'value="HD-26"' in answer.text


def test_an_attempt_is_retold_and_the_fault_is_watched(
    client: TestClient, there: str, attempt: str, kept: Kept
) -> None:
    page = client.get(attempt).text
    assert "A slip in: turned the lead round" in page
    assert 'value="it did not work"' not in page

    typed = fields(client, attempt)
    assert typed["mend"] == "it worked"
    assert client.post(attempt, data=typed).headers["location"] == there

    assert kept()["line"]["state"] == "watched"
    assert kept()["attempts"][0]["outcome"] == "worked"


def test_an_attempt_is_struck_out_with_a_reason(
    client: TestClient, attempt: str, kept: Kept
) -> None:
    typed = fields(client, attempt) | {"mend": "it was never made"}
    without = client.post(attempt, data=typed)
    assert without.status_code == 422
    assert "Why: " in without.text
    assert '<option value="it was never made" selected>' in without.text

    assert client.post(attempt, data=typed | {"reason": "another lead"}).status_code == 303
    assert kept()["attempts"][0]["struck"] == "another lead"


def test_who_mends_what_another_mended_meanwhile_is_told(client: TestClient, attempt: str) -> None:
    typed = fields(client, attempt)
    assert client.post(attempt, data=typed).status_code == 303

    answer = client.post(attempt, data=typed | {"client_key": "another phone"})

    assert answer.status_code == 409
    assert "it worked, says the record" in answer.text


def test_an_attempt_that_is_struck_out_says_so(client: TestClient, attempt: str) -> None:
    typed = fields(client, attempt) | {"mend": "it was never made", "reason": "a slip"}
    client.post(attempt, data=typed)

    assert "it was struck out: a slip" in client.get(attempt).text
    again = fields(client, attempt)
    assert client.post(attempt, data=again).status_code == 409


def test_an_attempt_on_another_fault_is_none_of_this(client: TestClient, attempt: str) -> None:
    number = attempt.rpartition("/")[2]

    assert client.get(f"/faults/1/attempts/{number}").status_code == 404
    assert client.post(f"/faults/1/attempts/{number}", data={}).status_code == 404


def test_an_unknown_fault_is_told(looking: TestClient) -> None:
    for path in ("/faults/99999/correct", "/faults/99999/attempts/1"):
        assert looking.get(path).status_code == 404
