"""What must lie ready is said, counted, changed, and what is short comes first."""

import re
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

pytestmark = pytest.mark.slow


def test_what_is_short_comes_first_with_how_many_are_missing(looking: TestClient) -> None:
    page = looking.get("/spares").text
    found = rows(page)
    missing = [int(row[4]) - int(row[3]) for row in found]

    assert missing == sorted(missing, reverse=True)
    assert all(("short" in row[1]) == (gap > 0) for row, gap in zip(found, missing, strict=True))
    assert [row[2] for row in found] == [str(gap) if gap > 0 else "" for gap in missing]
    assert f"Short: {sum(gap > 0 for gap in missing)} of {len(found)}." in page


def test_cells_are_counted_again_by_hand(client: TestClient) -> None:
    path = "/spares/wireless cells/change"
    typed = fields(client, path)
    assert client.post(path, data=typed | {"on_hand": "3"}).status_code == 303

    row = next(row for row in rows(client.get("/spares").text) if row[0] == "wireless cells")
    assert "short" in row[1]
    assert row[3] == "3"


def test_a_rule_sent_back_untouched_stays_as_it_is(client: TestClient) -> None:
    before = rows(client.get("/spares").text)
    for name in (row[0] for row in before):
        path = f"/spares/{quote(name)}/change"
        assert client.post(path, data=fields(client, path)).status_code == 303

    assert rows(client.get("/spares").text) == before


def test_a_rule_of_any_name_comes_changes_and_goes(client: TestClient) -> None:
    name = "leads 3/5 m?"
    typed = {"name": name, "minimum": "2", "models": "Coil 5", "place": "Office"}
    assert client.post("/spares/new", data=typed).status_code == 303
    path = f"/spares/{quote(name)}"
    assert f'href="{path}/change"' in client.get("/spares").text
    changed = fields(client, f"{path}/change") | {"minimum": "4"}
    assert client.post(f"{path}/change", data=changed).status_code == 303
    stale = client.post(f"{path}/change", data=changed | {"minimum": "5"})
    assert stale.status_code == 409
    assert 'value="5"' in stale.text

    gone = client.post(f"{path}/remove", data=fields(client, f"{path}/remove"))
    assert gone.status_code == 303
    assert name not in client.get("/spares").text


@pytest.mark.parametrize(
    ("over", "told"),
    [
        ({"minimum": "-1"}, "At least: "),
        ({"minimum": ""}, "At least: "),
        ({"models": ""}, "none is named"),
        ({"models": "Nothing 9"}, "No model"),
        ({"on_hand": "4"}, "counted from their items"),
        ({"needed_rate": "fast"}, "is no rate"),
        ({"needed_rate": "40 MB/s"}, "is no drive"),
        ({"name": "coax 5 m"}, "already"),
    ],
)
def test_a_mistake_brings_the_form_back(
    over: dict[str, str], told: str, client: TestClient
) -> None:
    typed = {"name": "leads", "minimum": "2", "models": "Coil 5", "place": "Office", **over}
    answer = client.post("/spares/new", data=typed)

    assert answer.status_code in (404, 409, 422)
    assert told in re.sub("&#39;", "'", answer.text)
    assert 'value="Office"' in answer.text


@pytest.mark.parametrize("way", ["change", "remove"])
def test_an_unknown_rule_is_told(way: str, looking: TestClient) -> None:
    assert looking.get(f"/spares/nothing/{way}").status_code == 404
