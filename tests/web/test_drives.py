"""How fast a drive writes is told, measured anew and mended."""

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

pytestmark = pytest.mark.slow


def test_a_drive_leads_to_what_was_measured_the_newest_first(looking: TestClient) -> None:
    assert "/speed" in looking.get("/DR-04").text
    assert "/speed" not in looking.get("/CC-05").text

    found = rows(looking.get("/DR-04/speed").text)
    days = [row[0] for row in found]
    assert len(days) > 1
    assert days == sorted(days, reverse=True)


def test_a_test_is_written_down_and_a_slip_mended(client: TestClient) -> None:
    there = "/DR-04/speed"
    before = len(rows(client.get(there).text))
    typed = {"write_rate": "182 MB/s", "note": "warm"}
    assert client.post(f"{there}/new", data=typed).headers["location"] == there
    first = rows(client.get(there).text)[0]
    assert first[1:3] == ["182", "warm"]
    assert len(rows(client.get(there).text)) == before + 1

    path = client.get(there).text.partition("a slip")[0].rpartition('href="')[2].partition('"')[0]
    asked = fields(client, path)
    assert asked["write_rate"] == "182 MB/s"
    changed = asked | {"write_rate": "128 MB/s", "item": "DR-05"}
    assert client.post(path, data=changed).status_code == 303
    assert len(rows(client.get(there).text)) == before
    assert rows(client.get("/DR-05/speed").text)[0][1] == "128"


def test_a_slip_form_sent_back_untouched_changes_nothing(client: TestClient) -> None:
    there = "/DR-04/speed"
    client.post(f"{there}/new", data={"write_rate": "151.234567 MB/s"})
    path = client.get(there).text.partition("a slip")[0].rpartition('href="')[2].partition('"')[0]
    before = fields(client, path)

    assert client.post(path, data=before).status_code == 303
    assert fields(client, path) == before


@pytest.mark.parametrize(
    ("code", "rate", "status"),
    [("DR-04", "fast", 422), ("DR-04", "", 422), ("CC-05", "182 MB/s", 422), ("ZZ-9", "1", 404)],
)
def test_what_is_no_test_of_a_drive_is_said(
    client: TestClient, code: str, rate: str, status: int
) -> None:
    answer = client.post(f"/{code}/speed/new", data={"write_rate": rate})

    assert answer.status_code == status
    assert "<h1" in answer.text


def test_a_test_that_is_none_is_said(looking: TestClient) -> None:
    assert looking.get("/DR-04/speed/99999").status_code == 404
