"""The list of things, narrowed and paged; the models, under whatever name."""

import re
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def names(page: str) -> list[str]:
    """Return the names in the first column of a list."""
    return re.findall(r'<tr>\s*<td data-name="Name"><a href="/\w{6}">([^<]+)</a>', page)


def counted(page: str) -> int:
    found = re.search(r'<h1>Gear <span class="soft">\(([\d,]+)\)', page)
    assert found
    return int(found[1].replace(",", ""))


def test_pages_of_the_list_follow_each_other_and_hold_everything_once(
    looking: TestClient,
) -> None:
    address, seen = "/gear", list[str]()
    while address:
        page = looking.get(address).text
        seen += names(page)
        following = re.search(r'href="([^"]+)">More<', page)
        address = following[1].replace("&amp;", "&") if following else ""

    assert len(seen) == len(set(seen)) == counted(looking.get("/gear").text)
    assert seen == sorted(seen, key=str.casefold)


def test_the_next_page_keeps_the_filters(looking: TestClient) -> None:
    page = looking.get("/gear?text=0&state=fit").text
    following = re.search(r'href="([^"]+)">More<', page)
    assert following

    after = looking.get(following[1].replace("&amp;", "&")).text

    assert 'name="text" value="0"' in after
    assert '<option value="fit" selected>' in after
    assert set(names(page)).isdisjoint(names(after))


@pytest.mark.parametrize(
    ("asked", "all_of"),
    [
        ("equipment_class=drive", "drive"),
        ("model=Tern 14", "Halvetta Tern 14"),
        ("place=Office", "Office"),
        ("text=cc-0", "CC-0"),
    ],
)
def test_a_filter_leaves_only_what_fits(asked: str, all_of: str, looking: TestClient) -> None:
    page = looking.get(f"/gear?{asked}").text
    rows = re.findall(r"<tr>\s*<td.*?</tr>", page, re.DOTALL)

    assert rows
    assert all(all_of in row for row in rows)
    assert counted(page) < counted(looking.get("/gear").text)


@pytest.mark.parametrize(
    ("asked", "status", "told"),
    [
        ("state=lost&text=tern", 422, "&#39;lost&#39;"),
        ("place=attic&text=tern", 404, "attic"),
        ("model=Tern 99&text=tern", 404, "Tern 14"),
    ],
)
def test_a_mistake_in_a_filter_is_told_and_loses_no_other(
    asked: str, status: int, told: str, looking: TestClient
) -> None:
    answer = looking.get(f"/gear?{asked}")

    assert answer.status_code == status
    assert told in answer.text
    assert 'value="tern"' in answer.text


def test_every_way_from_the_list_leads_somewhere(looking: TestClient) -> None:
    page = looking.get("/gear").text
    ways = re.search(r'<ul class="ways">(.*?)</ul>', page, re.DOTALL)
    assert ways
    found = re.findall(r'href="([^"]+)"', ways[1])

    assert {"/gear/models", "/places", "/links", "/shows", "/loans", "/spares"} < set(found)
    assert {looking.get(address).status_code for address in found} == {200}


def test_a_page_past_the_end_is_empty_and_leads_back(looking: TestClient) -> None:
    page = looking.get("/gear?offset=99999").text

    assert names(page) == []
    assert "Earlier ones" in page


def test_a_model_whose_name_holds_a_slash_is_changed_and_merged(client: TestClient) -> None:
    typed = {"maker": "Halvetta", "name": "A/B switch #2?", "equipment_class": ""}
    assert client.post("/gear/models/new", data=typed).status_code == 303
    address = "/gear/models/" + quote("Halvetta A/B switch #2?")
    assert f'href="{address}"' in client.get("/gear/models").text
    assert f"{address}/change" in client.get(address).text

    page = client.get(f"{address}/change").text
    assert f"{address}/merge" in page
    assert client.post(f"{address}/change", data=typed | {"name": "A/B two"}).status_code == 303
    merged = client.post("/gear/models/Halvetta A/B two/merge", data={"into": "Halvetta Tern 14"})

    assert merged.status_code == 303
    assert "A/B two" not in client.get("/gear/models").text


def test_a_model_of_a_name_in_use_is_refused_and_what_was_typed_stays(client: TestClient) -> None:
    typed = {"maker": "halvetta", "name": "tern 14", "technical": "length=3 m"}
    answer = client.post("/gear/models/new", data=typed)

    assert answer.status_code == 409
    assert "There is a model" in answer.text
    assert ">length=3 m</textarea>" in answer.text


def test_the_second_of_two_who_change_a_model_sees_the_first_ones_and_may_insist(
    client: TestClient,
) -> None:
    path = "/gear/models/Halvetta Tern 14/change"
    seen = re.search(r'name="seen" value="(\d+)"', client.get(path).text)
    assert seen
    typed = {"maker": "Halvetta", "name": "Tern 14", "equipment_class": "call-computer"}
    first = typed | {"technical": "weight=1.4 kg\n", "seen": seen[1]}
    assert client.post(path, data=first).status_code == 303

    second = client.post(path, data=first | {"technical": "weight=1.5 kg\n"})

    assert second.status_code == 409
    assert "weight=1.4 kg" in second.text
    assert ">weight=1.5 kg\n</textarea>" in second.text
    now = re.search(r'name="seen" value="(\d+)"', second.text)
    assert now
    again = client.post(path, data=first | {"technical": "weight=1.5 kg\n", "seen": now[1]})
    assert again.status_code == 303
    assert "weight=1.5 kg" in client.get("/gear/models").text
