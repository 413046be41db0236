"""The page behind a label: what it is first, then what to do, what worked, what hangs on it."""

import html
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow
Code = Callable[[str], str]
MOST_BYTES = 60_000


def words(page: str) -> str:
    """Return what is read of a page: its text without marks, white space folded."""
    main = page.partition("<main")[2].partition("</main>")[0]
    return html.unescape(" ".join(re.sub(r"<[^>]+>", " ", main).split()))


def test_what_it_is_stands_before_what_to_do_and_that_before_all_else(
    looking: TestClient,
) -> None:
    told = words(looking.get("/CC-05").text)

    order = ("CC-05", "fit", "desk right", "Something is wrong", "What worked before", "Spares")
    places = [told.index(one) for one in order]
    assert places == sorted(places)


def test_what_worked_is_told_by_its_heading_how_often_and_when_last(looking: TestClient) -> None:
    told = words(looking.get("/CC-05").text)

    assert (
        "Switch the computer's video output off and on worked 3 times here, last 2026-01-29"
        in told
    )


def test_what_hangs_on_it_is_a_chain_to_the_switcher_nearest_first(looking: TestClient) -> None:
    told = words(looking.get("/CC-05").text)

    assert "video out → HD-24 → in VC-05 out → SD-05 → in 5 VS-01" in told
    assert "audio → channels 1-4 AI-03 out 1 → in 25 AM-01 (and 3 beside)" in told
    lead = words(looking.get("/HD-24").text)
    assert "this lead ← video out CC-05" in lead
    assert "this lead → in VC-05 out → SD-05 → in 5 VS-01" in lead


def test_a_hub_shows_a_few_chains_and_keeps_the_rest_behind(looking: TestClient) -> None:
    page = looking.get("/VS-01").text

    fed = page.partition("It is fed by")[2].partition("It feeds")[0]
    assert fed.partition("<details")[0].count("<li>") == 5
    assert re.search(r"and \d+ more", fed)
    assert fed.count("<li>") == 11


@pytest.mark.parametrize("name", ["CC-05", "VS-01", "AM-01", "NS-01", "HD-24", "DR-04", "RC-02"])
def test_a_page_is_small(name: str, looking: TestClient) -> None:
    answer = looking.get(f"/{name}")

    assert answer.status_code == 200
    assert len(answer.content) <= MOST_BYTES


def test_it_says_why_a_thing_is_set_aside(looking: TestClient) -> None:
    told = words(looking.get("/HD-05").text)

    assert "set aside since 2026-06-01 : last of a model that fails early" in told.replace(
        "06-01:", "06-01 :"
    )


def test_a_spare_is_put_in_its_place_from_the_page(client: TestClient, folder: Path) -> None:
    page = client.get("/CC-05").text
    assert "Put CC-07 in its place" in page
    way = re.search(r'href="(/\w+/swap\?spare=CC-07)"', page)
    assert way
    form = client.get(way[1]).text
    assert 'value="CC-07"' in form

    typed = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form))
    answer = client.post(way[1].partition("?")[0], data=typed | {"spare": "CC-07"})

    assert answer.status_code == 303, answer.text
    assert "video out → HD-24" in words(client.get("/CC-07").text)
    links = called("-w", folder, "item", "see", "CC-05", "--json").json["links"]
    assert links == []


def test_faults_that_are_open_stand_on_top_and_closed_ones_below(client: TestClient) -> None:
    for number in range(10):
        client.post("/CC-05/log", data={"text": f"green number {number}"})

    told = words(client.get("/CC-05").text)

    assert told.index("Wrong with it now") < told.index("What worked before")
    assert told.count("green number") == 8
    assert "All that are open" in told
    assert told.index("Faults that were") < told.index("five is greenish since power-up")


def test_every_change_is_told_with_who_when_from_and_to(client: TestClient) -> None:
    client.post("/screen", data={"who": "J.P."})
    state = client.get("/CC-05/state").text
    typed = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', state))
    client.post("/CC-05/state", data=typed | {"state": "doubtful", "reason": "hinge loose"})

    told = words(client.get("/CC-05/history").text)

    assert "J.P." in told
    assert "fit → doubtful" in told
    page = words(client.get("/CC-05").text)
    assert "doubtful" in page
    assert "hinge loose" in page


def test_the_terminal_and_the_page_know_the_same_spares(looking: TestClient, built: Path) -> None:
    ready = called("-w", built, "item", "see", "CC-05", "--json").json["spares"]
    page = looking.get("/CC-05").text

    assert [one["name"] for one in ready] == ["CC-07", "CC-08"]
    assert all(f"Put {one['name']} in its place" in page for one in ready)
    assert json.dumps(ready)
