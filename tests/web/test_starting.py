"""From what a search found to its fault: the newcomer's main road, on which evidence is made."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import fields

pytestmark = pytest.mark.slow
PINK, COLOUR = "everything looks pink", "display-colour-shift"
START = "Start with this: log it"


def started(page: str) -> str:
    """Return where the press leads."""
    found = re.search(rf'href="([^"]+)">{START}', page)
    assert found
    return found[1].replace("&amp;", "&")


def test_a_sure_answer_is_one_press_from_the_form_and_two_from_its_steps(
    client: TestClient,
) -> None:
    there = started(client.get("/", params={"q": PINK}).text)
    assert there == f"/log?entry={COLOUR}&text=everything%20looks%20pink"
    typed = fields(client, there)
    assert (typed["entry"], typed["text"]) == (COLOUR, PINK)

    logged = client.post("/log", data=typed | {"item": "CC-05"}).headers["location"]
    page = client.get(logged).text
    assert f'href="/entries/{COLOUR}"' in page
    assert 'value="worked"' in page
    assert 'value="did not work"' in page


def test_with_a_thing_at_hand_its_own_form_opens(client: TestClient) -> None:
    there = started(client.get("/", params={"q": PINK, "item": "CC-05"}).text)

    assert there.startswith(f"/CC-05/log?entry={COLOUR}&")
    answer = client.post("/CC-05/log", data=fields(client, there))
    assert f'href="/entries/{COLOUR}"' in client.get(answer.headers["location"]).text


def test_an_entry_that_is_read_leads_there_too(looking: TestClient) -> None:
    there = started(looking.get(f"/entries/{COLOUR}").text)

    assert fields(looking, there)["entry"] == COLOUR


def test_what_is_typed_wrong_keeps_the_entry(client: TestClient) -> None:
    answer = client.post("/log", data={"text": PINK, "entry": COLOUR, "item": "ZZ-99"})

    assert answer.status_code == 404
    assert f'name="entry" value="{COLOUR}"' in answer.text


def test_an_entry_that_is_none_leaves_the_words(looking: TestClient) -> None:
    typed = fields(looking, "/log?entry=none-such&text=dark")

    assert typed["text"] == "dark"
    assert "entry" not in typed
