"""What is wrong is told by what stands above the field, and beside it."""

import re

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def wrong(page: str, name: str) -> str:
    """Return what stands beside a field; the field points to it."""
    found = re.search(rf'<p class="wrong" id="w-{name}">.*?</span> (.*?)</p>', page, re.DOTALL)
    assert found, page
    assert re.search(rf'id="f-{name}"[^>]*aria-describedby="w-{name}[" ][^>]*aria-invalid', page)
    return found[1]


@pytest.mark.parametrize(
    ("path", "form", "name", "label"),
    [
        ("/spares/new", {"name": "x", "minimum": ""}, "minimum", "At least"),
        ("/CC-05/lend", {"borrower": ""}, "borrower", "To whom"),
        ("/links/new", {"from_item": "", "to_item": "CC-05"}, "from_item", "From"),
        ("/shows/new", {"title": "x", "air_at": ""}, "air_at", "On air at"),
        ("/gear/new", {"name": ""}, "name", "Name"),
        ("/CC-05/state", {"state": "retired", "reason": ""}, "reason", "Why"),
    ],
)
def test_a_form_names_its_labels(
    path: str, form: dict[str, str], name: str, label: str, client: TestClient
) -> None:
    answer = client.post(path, data=form)

    assert answer.status_code == 422
    problems = answer.text.partition('<ul class="problems">')[2].partition("</ul>")[0]
    assert f"<li>{label}: " in problems
    assert wrong(answer.text, name)
    assert f"<li>{name.replace('_', ' ')}: " not in problems


def test_what_is_not_found_is_told_beside_where_it_was_typed(client: TestClient) -> None:
    answer = client.post("/CC-05/swap", data={"spare": "CC-99"})

    assert wrong(answer.text, "spare").startswith("No item &#39;CC-99&#39;.")


def test_the_page_of_a_fault_and_of_a_report_name_theirs(client: TestClient) -> None:
    there = client.post("/CC-05/log", data={"text": "dark"}).headers["location"]

    assert "<li>Kind of cause: " in client.post(f"{there}/close", data={}).text
    assert "<li>In your own words: " in client.post("/CC-05/log", data={"text": ""}).text
    assert "<li>On which thing: " in client.post("/log", data={"text": "dark"}).text


def test_a_filter_names_its_label(looking: TestClient) -> None:
    page = looking.get("/faults?state=lost").text

    assert "<li>State: " in page
