"""What can be picked is offered while typing: spares, borrowers, models, places, leads."""

import re

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def offered(page: str, name: str) -> list[str]:
    """Return what a field offers."""
    assert f'name="{name}"' in page
    assert re.search(rf'id="f-{name}"[^>]* list="l-{name}"', page)
    part = page.partition(f'<datalist id="l-{name}">')[2].partition("</datalist>")[0]
    return re.findall(r'<option value="([^"]*)">', part)


def test_what_comes_in_is_one_of_the_ready_spares(looking: TestClient) -> None:
    found = offered(looking.get("/CC-05/swap").text, "spare")

    assert found
    assert all(name.startswith("CC-") and name != "CC-05" for name in found)


@pytest.mark.parametrize("path", ["/CC-05/lend", "/loans/new"])
def test_who_borrowed_before_is_offered_the_last_first(path: str, client: TestClient) -> None:
    before = offered(client.get(path).text, "borrower")
    assert before
    assert len(set(before)) == len(before)

    client.post("/loans/new", data={"item": "CC-06", "borrower": "the guild hall"})
    assert offered(client.get(path).text, "borrower") == ["the guild hall", *before]


@pytest.mark.parametrize("path", ["/gear/new", "/CC-05/change"])
def test_models_and_places_are_offered(path: str, looking: TestClient) -> None:
    page = looking.get(path).text

    assert "Halvetta Tern 14" in offered(page, "model")
    assert "Thrennow House/Rack room" in offered(page, "place")


def test_leads_are_offered_at_both_ends_of_a_swap(looking: TestClient) -> None:
    page = looking.get("/links/swap").text

    assert "HD-24" in offered(page, "old")
    assert offered(page, "new") == offered(page, "old")
