"""The tree of places, what lies where, and a scanned place."""

import re
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def made(client: TestClient, name: str, within: str = "", kind: str = "area") -> str:
    """Add a place, and return the address of its page."""
    answer = client.post("/places/new", data={"name": name, "kind": kind, "within": within})
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def seen(client: TestClient, path: str) -> str:
    found = re.search(r'name="seen" value="(\d+)"', client.get(path).text)
    assert found
    return found[1]


def test_every_place_of_the_tree_opens(looking: TestClient) -> None:
    found = set(re.findall(r'href="(/places/\w{6})"', looking.get("/places").text))

    assert len(found) > 10
    assert {looking.get(address).status_code for address in found} == {200}


def test_a_place_lies_in_the_tree_below_what_it_lies_in_whatever_its_name(
    client: TestClient,
) -> None:
    desk = made(client, "Desk A/B", "Office")
    inner = made(client, "left half", "Office/Desk A/B")

    tree = client.get("/places").text
    # The summary of the desk comes before what is inside of its own details.
    inside = re.search(r"<summary>Desk A/B .*?</details>", tree, re.DOTALL)
    assert inside
    assert f'href="{inner}"' in inside[0]
    assert f'href="{inner}"' in client.get(desk).text
    assert "Office/Desk A/B/left half" in client.get(inner).text
    assert 'name="within" type="text" value="Thrennow House/Office/Desk A/B"' in (
        client.get(f"{inner}/change").text
    )


def test_a_scanned_place_opens_its_page_in_whatever_form_its_code_came(
    client: TestClient,
) -> None:
    there = made(client, "S9", "Office", "shelf")
    code = there.rpartition("/")[2]

    for scanned in (code, code.lower(), f"{code[:3]}-{code[3:]}"):
        answer = client.get(f"/{scanned}")
        assert (answer.status_code, answer.headers["location"]) == (303, there)


def test_a_place_tells_what_lies_in_it_and_where(client: TestClient) -> None:
    there = made(client, "S9", "Office", "shelf")
    inner = made(client, "tray", "Office/S9", "drawer")
    client.post("/gear/new", data={"name": "CC-77", "place": "S9/tray"})

    page = client.get(there).text

    assert "CC-77" in page
    assert "Thrennow House/Office/S9/tray" in page
    assert "CC-77" in client.get(inner).text


def test_a_crowded_place_shows_the_first_ones_and_where_the_rest_are(client: TestClient) -> None:
    there = made(client, "crate", "Office", "area")
    for number in range(51):
        values = {"name": f"ZZ-{number:02}", "place": "Office/crate"}
        assert client.post("/gear/new", data=values).status_code == 303

    page = client.get(there).text
    every = re.search(r'href="([^"]+)">All 51 that lie here', page)

    assert page.count("ZZ-") == 50
    assert every
    assert '<span class="soft">(51)' in client.get(every[1]).text


def test_a_fault_is_logged_at_a_place(client: TestClient) -> None:
    there = made(client, "Desk 1 & 2", "Office")
    log = re.search(r'href="(/log\?place=[^"]+)"', client.get(there).text)
    assert log
    form = client.get(log[1].replace("&amp;", "&")).text
    assert 'value="Thrennow House/Office/Desk 1 &amp; 2"' in form

    typed = {"place": "Thrennow House/Office/Desk 1 & 2", "text": "smells of dust"}
    answer = client.post("/log", data=typed)

    assert answer.status_code == 303
    faults = "/faults?place=" + quote("Thrennow House/Office/Desk 1 & 2")
    assert "smells of dust" in client.get(faults).text


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"name": "", "kind": "area"}, "Name: "),
        ({"name": "Office", "kind": "area", "within": "Thrennow House"}, "there already"),
        ({"name": "S9", "kind": "attic"}, "Kind: "),
        ({"name": "S9", "kind": "shelf", "within": "attic"}, 'value="attic"'),
    ],
)
def test_a_mistake_brings_the_form_back(
    values: dict[str, str], told: str, looking: TestClient
) -> None:
    answer = looking.post("/places/new", data=values)

    assert answer.status_code in (404, 409, 422)
    assert told in answer.text
    assert f'name="name" type="text" value="{values["name"]}"' in answer.text


def test_the_second_of_two_sees_what_the_first_made_of_a_place(client: TestClient) -> None:
    there = made(client, "S9", "Office", "shelf")
    first = {"name": "S9", "kind": "drawer", "within": "Office"}
    first["seen"] = seen(client, f"{there}/change")
    assert client.post(f"{there}/change", data=first).status_code == 303

    told = client.post(f"{there}/change", data=first | {"kind": "shelf", "name": "S10"})

    assert told.status_code == 409
    assert "Look: it&#39;s &#39;drawer&#39; now." in told.text
    assert 'value="S10"' in told.text


def test_a_place_in_use_is_neither_retired_nor_put_in_itself(client: TestClient) -> None:
    there = made(client, "S9", "Office", "shelf")
    made(client, "tray", "Office/S9", "drawer")

    retired = client.post(f"{there}/retire", data={"seen": seen(client, f"{there}/retire")})
    moved = client.post(
        f"{there}/change", data={"name": "S9", "kind": "shelf", "within": "Office/S9/tray"}
    )

    assert retired.status_code == moved.status_code == 409
    assert "Move them first" in retired.text
    assert "lie in itself" in moved.text


def test_a_place_out_of_use_says_so_when_it_is_scanned(client: TestClient) -> None:
    there = made(client, "S9", "Office", "shelf")
    typed = {"seen": seen(client, f"{there}/retire")}
    assert client.post(f"{there}/retire", data=typed).status_code == 303

    answer = client.get(there)

    assert answer.status_code == 404
    assert "S9 is out of use" in answer.text


def test_two_places_become_one_and_both_codes_lead_there(client: TestClient) -> None:
    gone, kept = made(client, "S8", "Office", "shelf"), made(client, "S9", "Office", "shelf")
    client.post("/gear/new", data={"name": "CC-77", "place": "Office/S8"})
    typed = {"into": kept.rpartition("/")[2], "seen": seen(client, f"{gone}/merge")}

    assert client.post(f"{gone}/merge", data=typed).status_code == 303

    page = client.get(gone).text
    assert "<h1>S9 " in page
    assert "CC-77" in page
