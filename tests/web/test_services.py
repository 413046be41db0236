"""A service is written down with what was found on each thing, and mended."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

pytestmark = pytest.mark.slow


def mend(client: TestClient, name: str) -> str:
    """Return the address that mends the last service of a kind due on a thing."""
    row = re.search(
        rf">{name}</a>.*?</tr>", client.get("/services?ahead=in a year").text, re.DOTALL
    )
    assert row
    found = re.search(r'href="(/services/\d+/change)"', row[0])
    assert found
    return found[1]


def test_what_is_due_is_listed_and_one_press_from_done(client: TestClient) -> None:
    page = client.get("/services").text
    first = rows(page)[0]
    assert "overdue" in first[3]
    again = re.search(r'href="(/services/new\?[^"]+)"', page)
    assert again
    path = again[1].replace("&amp;", "&")
    typed = fields(client, path)
    assert (typed["items"], typed["kind"]) == (first[0], first[1])

    kept = client.post("/services/new", data=typed | {"result": "pass", "next_due": "2027-10-31"})

    assert kept.status_code == 303, kept.text
    assert first[0] not in [row[0] for row in rows(client.get("/services").text)]


def test_looking_further_ahead_finds_no_less(looking: TestClient) -> None:
    counts = [
        len(rows(looking.get("/services", params={"ahead": ahead}).text))
        for ahead in ("today", "in 30 days", "in 90 days", "in a year", "whenever")
    ]

    assert counts[:4] == sorted(counts[:4])
    assert counts[4] == counts[0]


def test_each_thing_gets_its_own_result_and_the_others_the_common_one(client: TestClient) -> None:
    typed = {
        "kind": "repair",
        "work": "new fan",
        "items": "RC-01=fail\r\nRC-03, RC-02",
        "result": "pass",
        "cost": "40",
    }
    assert client.post("/services/new", data=typed).status_code == 303

    for name, result in (("RC-01", "fail"), ("RC-02", "pass"), ("RC-03", "pass")):
        assert f"new fan ({result})" in client.get(f"/{name}").text


def test_a_slip_in_a_service_is_mended_and_the_second_writer_told(client: TestClient) -> None:
    path = mend(client, "HD-03")
    typed = fields(client, path)
    assert "HD-03" in typed["items"]
    assert client.post(path, data=typed | {"work": "Yearly tug test"}).status_code == 303
    assert fields(client, path)["work"] == "Yearly tug test"
    assert fields(client, path)["items"] == typed["items"]

    second = client.post(path, data=typed | {"work": "Something else"})

    assert second.status_code == 409
    assert "Yearly tug test" in second.text
    assert ">Something else</textarea>" in second.text


@pytest.mark.parametrize(
    ("over", "told"),
    [
        ({"items": ""}, "On which things: none is named. Name one at least"),
        ({"items": "CC-05=perhaps"}, "perhaps"),
        ({"items": "CC-05, CC-05"}, "CC-05"),
        ({"work": ""}, "What was done: it is empty"),
        ({"cost": "much"}, "is no amount"),
        ({"fault": "x"}, "For fault number: "),
        ({"fault": "999999"}, "No fault"),
    ],
)
def test_a_mistake_brings_the_form_back(
    over: dict[str, str], told: str, client: TestClient
) -> None:
    typed = {"kind": "test", "work": "tugged", "items": "CC-05", "tester": "A.K.", **over}
    answer = client.post("/services/new", data=typed)

    assert answer.status_code in (404, 422)
    assert told in answer.text
    assert 'value="A.K."' in answer.text


@pytest.mark.parametrize("number", ["9999", "99999999999999999999"])
def test_an_unknown_service_is_told(number: str, looking: TestClient) -> None:
    assert looking.get(f"/services/{number}/change").status_code == 404
