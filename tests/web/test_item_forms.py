"""What is done with a thing, each in a form that loses nothing and tells what others did."""

import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow
Code = Callable[[str], str]
STORE = "Thrennow House/Workshop and store"


def hidden(client: TestClient, path: str) -> dict[str, str]:
    """Return the hidden fields of a page's last form but that of the footer."""
    text = client.get(path).text
    found = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', text)
    return {name: value for name, value in found if name != "back"}


def place(client: TestClient, name: str) -> str:
    found = re.search(r"<p>(?:Lies|Belongs) at <strong>([^<]*)<", client.get(f"/{name}").text)
    assert found
    return found[1]


@pytest.mark.parametrize("way", ["change", "move", "state", "lend", "swap"])
def test_a_form_carries_the_version_that_was_looked_at(way: str, looking: TestClient) -> None:
    assert hidden(looking, f"/CC-05/{way}")["seen"].isdecimal()


WAYS = (
    ("change", {"name": "CC-05", "serial": "typed by me"}, 'value="typed by me"'),
    ("move", {"place": STORE, "reason": "typed by me"}, 'value="typed by me"'),
    ("state", {"state": "set aside", "reason": "typed by me"}, 'value="typed by me"'),
    ("lend", {"borrower": "typed by me"}, 'value="typed by me"'),
    ("swap", {"spare": "CC-07", "lying": STORE}, f'<option value="{STORE}" selected>'),
)


@pytest.mark.parametrize(("way", "typed", "kept"), WAYS, ids=[one[0] for one in WAYS])
def test_the_second_of_two_sees_what_the_first_changed_and_may_do_it_yet(
    way: str, typed: dict[str, str], kept: str, client: TestClient
) -> None:
    path = f"/CC-05/{way}"
    seen = hidden(client, path)
    first = {"state": "doubtful", "reason": "lid loose"} | hidden(client, "/CC-05/state")
    assert client.post("/CC-05/state", data=first).status_code == 303

    told = client.post(path, data=seen | typed)

    assert told.status_code == 409
    assert "&#39;doubtful&#39;" in told.text
    assert kept in told.text
    now = re.search(r'name="seen" value="(\d+)"', told.text)
    assert now
    assert client.post(path, data=typed | {"seen": now[1]}).status_code == 303


def test_a_field_that_both_changed_tells_what_stands_in_it_now(client: TestClient) -> None:
    seen = hidden(client, "/CC-05/change")
    first = seen | {"name": "CC-05", "supplier": "Theirs Ltd"}
    assert client.post("/CC-05/change", data=first).status_code == 303

    told = client.post("/CC-05/change", data=seen | {"name": "CC-05", "supplier": "Mine Ltd"})

    assert 'value="Mine Ltd"' in told.text
    assert "Look: it&#39;s &#39;Theirs Ltd&#39; now." in told.text
    assert told.text.count("Look:") == 1


@pytest.mark.parametrize(
    ("way", "typed", "told"),
    [
        ("change", {"name": "CC-06"}, "There is an item &#39;CC-06&#39;"),
        ("change", {"name": "CC-05", "model": "Tern 99"}, "No model"),
        ("change", {"name": "CC-05", "bought": "soon"}, "soon"),
        ("move", {"place": "attic"}, '<option value="attic" selected>'),
        ("move", {"place": ""}, "Where to: "),
        ("state", {"state": "fit"}, "is fit already"),
        ("state", {"state": "set aside"}, "say why"),
        ("state", {"state": "retired"}, "say why"),
        ("state", {"state": "broken"}, "broken"),
        ("lend", {"borrower": ""}, "borrower"),
        ("lend", {"borrower": "the guild hall", "due": "soon"}, 'value="the guild hall"'),
        ("back", {}, "not on loan"),
        ("swap", {"spare": "CC-05"}, "take its own place"),
        ("swap", {"spare": "CC-99"}, "CC-99"),
        ("swap", {"spare": "CC-07", "lying": "attic"}, "attic"),
        ("merge", {"into": ""}, "No item"),
        ("merge", {"into": "CC-05"}, "is one item already"),
        ("merge", {"into": "CC-99"}, 'value="CC-99"'),
    ],
)
def test_what_can_t_be_done_is_told_and_nothing_is_changed(
    way: str, typed: dict[str, str], told: str, client: TestClient
) -> None:
    before = client.get("/CC-05/history").text

    answer = client.post(f"/CC-05/{way}", data=typed)

    assert answer.status_code in (404, 409, 422)
    assert told in answer.text
    assert 'role="alert"' in answer.text
    assert client.get("/CC-05/history").text == before


@pytest.mark.parametrize("way", ["change", "move", "state", "lend", "swap", "merge", "history"])
def test_a_thing_that_nobody_knows_is_told(way: str, looking: TestClient) -> None:
    answer = looking.get(f"/ZZ-99/{way}")

    assert answer.status_code == 404
    assert "ZZ-99" in answer.text


def test_a_new_thing_s_code_leads_to_its_page(client: TestClient) -> None:
    answer = client.post("/gear/new", data={"name": "CC-77", "model": "Tern 14"})

    assert answer.status_code == 303
    there = answer.headers["location"].removesuffix("/label")
    assert re.fullmatch(r"/[0-9A-Z]{6}", there)
    assert "<h1>CC-77 " in client.get(there).text


def test_what_lies_nowhere_is_not_moved_by_a_slip(client: TestClient) -> None:
    there = client.post("/gear/new", data={"name": "CC-77"}).headers["location"]

    page = client.get(there.replace("/label", "/move")).text

    assert '<option value="" selected>not said</option>' in page


def test_a_retired_thing_keeps_its_page_and_leaves_the_list(
    client: TestClient, code: Code
) -> None:
    label = code("XL-06")
    typed = {"state": "retired", "reason": "burnt"} | hidden(client, "/XL-06/state")
    assert client.post("/XL-06/state", data=typed).status_code == 303

    assert "burnt" in client.get(f"/{label}").text
    assert f'href="/{label}"' not in client.get("/gear?text=XL-06").text
    assert f'href="/{label}"' in client.get("/gear?text=XL-06&state=retired").text


def test_what_is_away_is_taken_back(client: TestClient) -> None:
    lent = {"borrower": "the guild hall"} | hidden(client, "/CC-05/lend")
    assert client.post("/CC-05/lend", data=lent).status_code == 303
    page = client.get("/CC-05/lend").text
    assert "with the guild hall" in page
    assert 'action="/' in page

    assert client.post("/CC-05/back", data=hidden(client, "/CC-05/lend")).status_code == 303

    assert "the guild hall" not in client.get("/loans").text


def test_a_swapped_unit_goes_where_the_spare_lay(client: TestClient) -> None:
    before = place(client, "CC-05"), place(client, "CC-07")
    typed = hidden(client, "/CC-05/swap") | {"spare": "CC-07", "lying": ""}

    assert client.post("/CC-05/swap", data=typed).status_code == 303

    assert (place(client, "CC-07"), place(client, "CC-05")) == before


def test_a_swapped_unit_goes_where_one_says(client: TestClient) -> None:
    typed = hidden(client, "/CC-05/swap") | {"spare": "CC-07", "lying": STORE}

    assert client.post("/CC-05/swap", data=typed).status_code == 303

    assert place(client, "CC-05") == STORE


def test_two_records_stand_side_by_side_before_they_are_one(
    client: TestClient, code: Code
) -> None:
    gone, kept = code("XL-06"), code("XL-05")
    asked = client.get("/XL-06/merge").text
    assert "They are one" not in asked

    page = client.get("/XL-06/merge?into=XL-05").text
    names = re.search(r'<th scope="row">Name</th><td>(.*?)</td><td>(.*?)<', page)
    assert names
    assert names[1] == "XL-06"
    assert names[2].strip() == "XL-05"
    both = hidden(client, "/XL-06/merge?into=XL-05")
    assert both["into"] == kept
    assert client.post("/XL-06/merge", data=both).status_code == 303

    assert "<h1>XL-05 " in client.get(f"/{gone}").text
    assert f"XL-06 ({gone})" in client.get(f"/{kept}/history").text


@pytest.mark.parametrize("changed", ["XL-05", "XL-06"])
def test_a_record_changed_meanwhile_is_shown_again_before_it_is_merged(
    changed: str, client: TestClient
) -> None:
    both = hidden(client, "/XL-06/merge?into=XL-05")
    typed = {"name": changed, "note": "new boot"} | hidden(client, f"/{changed}/change")
    assert client.post(f"/{changed}/change", data=typed).status_code == 303

    answer = client.post("/XL-06/merge", data=both)

    assert answer.status_code == 409
    assert "new boot" in answer.text
    again = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', answer.text))
    assert client.post("/XL-06/merge", data=again).status_code == 303


def test_the_history_tells_who_when_and_what_in_words(client: TestClient) -> None:
    client.post("/screen", data={"who": "J.P.", "back": "/"})
    client.post("/CC-05/change", data={"name": "CC-05", "price": "980", "model": "Tern 14"})
    client.post("/CC-05/move", data={"place": STORE})
    client.post("/CC-05/change", data={"price": "12.05"})

    page = client.get("/CC-05/history").text
    newest, older = re.findall(r"<li><strong>.*?</li>", page, re.DOTALL)[:2]

    assert "<dt>price</dt><dd>980.00 → 12.05</dd>" in re.sub(r"\s*\n\s*", "", newest)
    assert "J.P." in newest
    assert re.search(r"<strong>\d{4}-\d\d-\d\d \d\d:\d\d</strong>", newest)
    assert "→ Workshop and store" in older


def test_a_doubtful_spare_comes_in_when_pressed_again(client: TestClient) -> None:
    client.post("/CC-07/state", data={"state": "doubtful", "reason": "warm"})

    first = client.post("/CC-05/swap", data={"spare": "CC-07"})

    assert first.status_code == 409
    assert "CC-07 is doubtful." in first.text
    assert "Press again if you mean it." in first.text
    assert '<input type="hidden" name="sure" value="yes">' in first.text
    assert client.post("/CC-05/swap", data={"spare": "CC-07", "sure": "yes"}).status_code == 303
