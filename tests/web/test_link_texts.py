"""A link's underline begins and ends with its words: on every page that links lead to."""

from collections import Counter, deque
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient
from starlette.routing import Match

from kb.web import app

pytestmark = pytest.mark.slow

START = (
    "/",
    "/?q=everything+looks+pink",
    "/?q=no+sound",
    "/CC-05",
    "/HD-19",
    "/DR-04",
    "/faults/6",
)
EACH = 3  # pages of one kind


class Links(HTMLParser):
    """What a page's links say, white space and all, and where they lead."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.said: list[str] = []
        self.addresses: list[str] = []
        self._inside = self._is_underlined = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        if tag == "a":
            self._inside = True
            self._is_underlined = "parts" not in (told.get("class") or "")
            self.said.append("")
            self.addresses.append(told.get("href") or "")
        elif self._inside and self._is_underlined and told.get("class") == "soft":
            # What is soft stands in a box of its own without the line, which ends before it.
            self.said.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == "a":
            self._inside = False

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.said[-1] += data


ROUTES = [
    route for module in app.ROUTES for route in module.router.routes if isinstance(route, APIRoute)
]


def kind_of(address: str) -> str:
    """Return the route that answers an address; empty for none of the pages."""
    scope = {"type": "http", "method": "GET", "path": urlsplit(address).path}
    matches = (route.path for route in ROUTES if route.matches(scope)[0] is Match.FULL)
    return next(matches, "")


def test_no_link_begins_or_ends_with_white_space(looking: TestClient) -> None:
    waiting, met, kinds = deque(START), set(START), Counter[str]()
    wrong: dict[str, set[str]] = {}
    answered = set[str]()
    while waiting:
        address = waiting.popleft()
        kinds[kind_of(address)] += 1
        answer = looking.get(address, follow_redirects=True)
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        found = Links(answer.text)
        answered.add(kind_of(address))
        wrong |= {said: {address} for said in found.said if said != said.strip()}
        for one in found.addresses:
            there = urljoin(address, one).partition("#")[0]
            kind = kind_of(there)
            if there.startswith("/") and there not in met and kind and kinds[kind] < EACH:
                met.add(there)
                waiting.append(there)
    assert wrong == {}
    assert len(answered) > 60
