"""A model has a page under its name; the list is narrowed; two become one after both are seen."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

pytestmark = pytest.mark.slow
TERN = "/gear/models/Halvetta Tern 14"


def test_a_model_tells_what_there_is_of_it_and_where(looking: TestClient) -> None:
    page = looking.get(TERN).text
    found = rows(page)
    listed = rows(looking.get("/gear?model=Halvetta Tern 14").text)

    assert [row[0] for row in found] == [row[0] for row in listed]
    assert [row[1] for row in found] == [row[1] for row in listed]
    assert 'href="/gear/new?model=Halvetta+Tern+14"' in page


@pytest.mark.parametrize("name", ["halvetta tern 14", "Tern 14"])
def test_its_page_is_found_as_one_types_it(name: str, looking: TestClient) -> None:
    assert "<h1>Halvetta Tern 14</h1>" in looking.get(f"/gear/models/{name}").text


@pytest.mark.parametrize(
    ("query", "there", "not_there"),
    [
        ("text=tern", "Halvetta Tern 14", "Brelvane Coil 5"),
        ("text=length=5 m", "Brelvane Coil 5", "Brelvane Coil 20"),
        ("equipment_class=cable", "Brelvane Coil 5", "Halvetta Tern 14"),
        ("text=zzzz", "No such model.", "Brelvane Coil 5"),
    ],
)
def test_the_address_narrows_the_list(
    query: str, there: str, not_there: str, looking: TestClient
) -> None:
    page = looking.get(f"/gear/models?{query}").text

    assert there in page
    assert not_there not in page


def test_a_class_that_is_none_is_told_and_the_words_stay(looking: TestClient) -> None:
    answer = looking.get("/gear/models?equipment_class=kite&text=tern")

    assert answer.status_code == 422
    assert "is no class of equipment" in answer.text
    assert 'value="tern"' in answer.text


def test_a_renamed_model_is_under_its_new_name(client: TestClient) -> None:
    path = f"{TERN}/change"
    answer = client.post(path, data=fields(client, path) | {"name": " Tern  15 "})

    assert answer.status_code == 303, answer.text
    assert "<h1>Halvetta Tern 15</h1>" in client.get(answer.headers["location"]).text
    assert client.get(TERN).status_code == 404


def test_two_models_are_shown_side_by_side_before_they_are_one(client: TestClient) -> None:
    typed = {"maker": "Halvetta", "name": "Tern-14", "equipment_class": "call-computer"}
    client.post("/gear/models/new", data=typed | {"technical": "weight=1.4 kg\n"})
    client.post("/gear/new", data={"name": "CC-99", "model": "Halvetta Tern-14"})
    path = "/gear/models/Halvetta Tern-14/merge"
    alone = client.get(path).text
    assert "They are one" not in alone

    page = client.get(path, params={"into": "Halvetta Tern 14"}).text
    assert re.search(r"Name</th><td>Halvetta Tern-14</td><td>Halvetta Tern 14</td>", page)
    assert re.search(r"weight</th><td>1.4 kg</td>", page)
    form = page[page.index('<form method="post"') :]
    sent = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))

    answer = client.post(path, data={name: sent[name] for name in ("into", "seen")})

    assert answer.status_code == 303, answer.text
    kept = client.get(answer.headers["location"]).text
    assert "CC-99" in kept
    assert "1.4 kg" in kept
    assert client.get("/gear/models/Halvetta Tern-14").status_code == 404


@pytest.mark.parametrize(
    ("into", "status", "told"),
    [
        ("", 404, "No model"),
        ("Tern 99", 404, "No model &#39;Tern 99&#39;"),
        ("Halvetta Tern 14", 409, "one model already"),
        ("Brelvane Coil 5", 409, "Make the class of one agree first"),
    ],
)
def test_what_can_not_be_one_is_told(
    into: str, status: int, told: str, client: TestClient
) -> None:
    answer = client.post(f"{TERN}/merge", data={"into": into})

    assert answer.status_code == status
    assert told in answer.text
    assert "Is Halvetta Tern 14 in here twice?" in answer.text


def test_a_model_changed_meanwhile_is_not_merged(client: TestClient) -> None:
    path = f"{TERN}/change"
    typed = fields(client, path)
    client.post(path, data=typed | {"technical": "weight=2 kg\n"})
    late = {"into": "Halvetta Heron G1", "seen": typed["seen"]}

    answer = client.post(f"{TERN}/merge", data=late)

    assert answer.status_code == 409
    assert "weight" in answer.text
    assert client.get(TERN).status_code == 200


@pytest.mark.parametrize("way", ["", "/change", "/merge"])
def test_an_unknown_model_is_told(way: str, looking: TestClient) -> None:
    assert looking.get(f"/gear/models/nothing{way}").status_code == 404
