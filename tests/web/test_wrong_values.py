"""Whatever stands in an address, no library speaks on the page."""

import re
from collections.abc import Iterator

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

from kb.web import app

pytestmark = pytest.mark.slow

WRONG = ("gremlins", "", "-1", "1e400", "9" * 400, "2026-99-99", "\x00")
THEIRS = re.compile("input should|unable to parse|value error|pydantic|sqlalchemy", re.IGNORECASE)


def routes() -> Iterator[APIRoute]:
    """Yield every route that is read by GET."""
    for module in app.ROUTES:
        for one in module.router.routes:
            if isinstance(one, APIRoute) and "GET" in (one.methods or ()):
                yield one


def addresses(route: APIRoute) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield addresses of a route, with one value wrong in each."""
    parts = [one.name for one in route.dependant.path_params]
    asked = [one.alias for one in route.dependant.query_params]
    plain = re.sub(r"\{code\}", "CC-05", re.sub(r"\{[^}]*\}", "1", route.path))
    for wrong in WRONG:
        for name in parts:
            told = wrong if wrong.isprintable() and wrong else "0"
            yield re.sub(r"\{" + name + r"(:\w+)?\}", told, route.path), {}
        for name in asked:
            yield plain, {name: wrong}


def test_no_library_speaks_of_a_wrong_value(looking: TestClient) -> None:
    tried = refused = 0
    for route in routes():
        for path, query in addresses(route):
            path = re.sub(r"\{[^}]*\}", "1", path)  # noqa: PLW2901 - what isn't wrong is right
            answer = looking.get(path, params=query, follow_redirects=False)
            assert answer.status_code < 500, (path, query)
            if "text" in answer.headers.get("content-type", ""):
                assert not THEIRS.search(answer.text), (path, query)
            tried += 1
            refused += answer.status_code == 422
    assert tried > 100
    assert refused > 10


def test_a_wrong_number_in_an_address_is_said_in_a_sentence_of_ours(looking: TestClient) -> None:
    answer = looking.get("/gear", params={"offset": "gremlins"})
    assert answer.status_code == 422
    said = (
        "<strong>offset:</strong> &#39;gremlins&#39; does not fit: give a whole number, like 12."
    )
    assert said in answer.text
    told = looking.get("/api/faults", params={"limit": "0"}).json()
    assert told["detail"] == "limit: '0' does not fit: 1 is the least."
