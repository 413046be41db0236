"""The crew's own words are kept, found by, and taken back; a slip is told and can be left."""

import html
import re

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def test_a_word_is_kept_found_by_and_taken_back(client: TestClient) -> None:
    page = client.get("/", params={"q": "gribble"}).text
    assert 'href="/words/new?word=gribble"' in page
    typed = {"word": "gribble", "means": "steady low hum"}
    assert client.post("/words/new", data=typed).headers["location"] == "/words"
    assert "gribble" in client.get("/words").text

    found = client.get("/", params={"q": "gribble"}).text
    assert "/entries/audio-hum" in found

    path = re.search(r'href="(/words/\d+/remove)"', client.get("/words").text)
    assert path
    assert "gribble" in client.get(path[1]).text
    assert client.post(path[1]).status_code == 303
    assert "No word of your own yet." in client.get("/words").text
    assert client.get(path[1]).status_code == 404


def test_what_is_no_word_is_told_and_kept_in_the_form(client: TestClient) -> None:
    answer = client.post("/words/new", data={"word": "the", "means": "hum"})

    assert answer.status_code == 422
    assert 'value="hum"' in answer.text


def test_a_slip_is_told_and_can_be_left_as_it_is(looking: TestClient) -> None:
    page = looking.get("/", params={"q": "evrything pinkk"}).text
    assert "“evrything” as “everything”, “pinkk” as “pink”." in page
    way = re.search(r'href="([^"]*)">Search it as typed', page)
    assert way

    left = looking.get(html.unescape(way[1])).text
    assert "Search it as typed" not in left
    assert 'value="evrything pinkk"' in left
