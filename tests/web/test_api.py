"""The API: the same functions, described by OpenAPI, its troubles told after RFC 9457."""

from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient

from kb.search import similar

pytestmark = pytest.mark.slow


def test_a_fault_goes_from_report_to_cause(client: TestClient) -> None:
    typed = {"text": "hums", "item": "AM-01", "client_key": "k1"}
    made = client.post("/api/faults", json=typed)
    assert made.status_code == 201
    number = made.json()["number"]
    assert client.post("/api/faults", json=typed).json() == {"number": number}

    tried = {"what": "lifted the ground", "outcome": "worked", "minutes": 2}
    assert client.post(f"/api/faults/{number}/attempts", json=tried).status_code == 201
    assert client.get(f"/api/faults/{number}").json()["line"]["state"] == "watched"
    cause = {"kind": "outside cause", "item": "none"}
    assert client.post(f"/api/faults/{number}/close", json=cause).status_code == 200
    assert (
        client.get("/api/faults", params={"state": "closed", "limit": 1}).json()[0]["number"]
        == number
    )
    assert client.post(f"/api/faults/{number}/close", json=cause).status_code == 409
    since = client.get(f"/api/faults/{number}").json()["restored_at"]
    other = {"kind": "own failure"}
    assert client.post(f"/api/faults/{number}/cause", json=other).status_code == 200
    told = client.get(f"/api/faults/{number}").json()
    assert (told["line"]["cause_kind"], told["restored_at"]) == ("own failure", since)
    assert client.post(f"/api/faults/{number}/reopen").status_code == 200
    assert client.get(f"/api/faults/{number}").json()["reopened_at"]
    assert client.post(f"/api/faults/{number}/cause", json=other).status_code == 409


def test_it_says_what_the_command_says(
    looking: TestClient, built: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # One `find` alone leaves the second list out, for its start.
    monkeypatch.setattr(similar, "installed", lambda: False)
    told = called("-w", built, "find", "everything looks pink", "--json").json
    assert looking.get("/api/find", params={"q": "everything looks pink"}).json() == told

    rows = called("-w", built, "review", "models", "--json").json["models"]
    mine = looking.get("/api/review/models").json()["models"]
    assert [one["rate"] for one in mine] == [one["rate"] for one in rows]
    items = looking.get("/api/items", params={"equipment_class": "drive", "limit": 500}).json()
    listed = called("-w", built, "item", "list", "--class", "drive", "--json").json
    assert {one["code"] for one in items} == {one["code"] for one in listed}


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/api/items/ZZ-99", 404),
        ("/api/items?state=lost", 422),
        ("/api/items?nonsense=1", 422),
        ("/api/items?limit=0", 422),
        ("/api/faults/9999", 404),
        ("/api/faults/x", 422),
        ("/api/entries/nothing", 404),
        ("/api/review/models?confidence=2", 422),
        ("/api/nothing", 404),
    ],
)
def test_trouble_is_a_problem_document(path: str, status: int, looking: TestClient) -> None:
    answer = looking.get(path)

    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    told = answer.json()
    assert told["status"] == status
    assert {"type", "title", "detail", "problems"} <= told.keys()
    assert told["detail"]


def test_every_wrong_field_is_named_at_once(client: TestClient) -> None:
    answer = client.post("/api/faults", json={"text": "", "effect": "loud", "nonsense": 1})

    assert answer.status_code == 422
    assert {one["field"] for one in answer.json()["problems"]} == {"text", "effect", "nonsense"}


def test_it_is_described(looking: TestClient) -> None:
    described = looking.get("/api/openapi.json").json()

    assert described["openapi"].startswith("3.")
    assert all(path.startswith("/api/") for path in described["paths"])
    body = described["paths"]["/api/faults"]["post"]["requestBody"]["content"]["application/json"]
    assert "client_key" in body["schema"]["properties"]
