"""The glossary's page, and the words that lead to it."""

import re

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow
LINK = re.compile(r'href="/entries/glossary#([^"]+)"')


def test_every_word_stands_on_the_page_once(looking: TestClient) -> None:
    page = looking.get("/entries/glossary")

    assert (page.status_code, page.text.count("<h1>")) == (200, 1)
    anchors = re.findall(r'<dt id="([^"]+)"', page.text)
    assert len(anchors) == len(set(anchors)) > 100
    assert '<dt id="mix-minus">mix-minus <span class="soft">also N-1</span></dt>' in page.text


def test_a_link_between_files_leads_to_the_page(looking: TestClient) -> None:
    answer = looking.get("/entries/glossary.md")

    assert (answer.status_code, answer.headers["location"]) == (303, "/entries/glossary")


@pytest.mark.parametrize("path", ["/entries/audio-mix-minus-missing", "/faults/2"])
def test_words_of_an_entry_lead_to_it_once_each(path: str, looking: TestClient) -> None:
    anchors = set(re.findall(r'<dt id="([^"]+)"', looking.get("/entries/glossary").text))
    found = LINK.findall(looking.get(path).text)

    assert found
    assert len(found) == len(set(found))
    assert set(found) <= anchors


def test_the_editor_shows_the_text_without_them(looking: TestClient) -> None:
    assert not LINK.search(looking.get("/entries/audio-mix-minus-missing/edit").text)
