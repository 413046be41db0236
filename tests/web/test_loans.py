"""What is away is told with who has it; it's taken back, given more time, mended."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

from kb.web.routes import loans

pytestmark = pytest.mark.slow


def loan(client: TestClient, name: str, way: str) -> str:
    """Return the address of what is done with the loan of a thing."""
    page = client.get("/loans").text
    row = re.search(rf">{name}</a>.*?</tr>", page, re.DOTALL)
    assert row, page
    found = re.search(rf'href="(/loans/\d+/{way})"', row[0])
    assert found
    return found[1]


def test_the_longest_overdue_comes_first_and_is_called_so(looking: TestClient) -> None:
    page = looking.get("/loans").text
    found = rows(page)

    assert [row[0] for row in found] == ["US-04", "HD-18"]
    assert "overdue" in found[0][4]
    assert "away" in found[1][4]
    assert "Overdue: 1." in page


def test_many_are_told_page_by_page(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loans, "PAGE", 1)
    first = client.get("/loans").text
    after = re.search(r'href="(/loans\?offset=1)">More<', first)
    assert after
    last = client.get(after[1]).text

    assert [row[0] for row in (*rows(first), *rows(last))] == ["US-04", "HD-18"]
    assert "More<" not in last


def test_a_thing_goes_out_gets_more_time_and_comes_back(client: TestClient) -> None:
    typed = {"item": "CC-05", "borrower": "a choir", "due": "2026-11-10", "note": "with its bag"}
    assert client.post("/loans/new", data=typed).status_code == 303
    assert "a choir" in client.get("/loans").text

    path = loan(client, "CC-05", "change")
    typed = fields(client, path)
    assert (typed["due"], typed["note"]) == ("2026-11-10", "with its bag")
    assert client.post(path, data=typed | {"due": "2026-12-01"}).status_code == 303
    assert "2026-12-01" in client.get("/loans").text

    path = loan(client, "CC-05", "back")
    assert client.post(path, data=fields(client, path)).status_code == 303
    assert "a choir" not in client.get("/loans").text


def test_what_was_taken_back_by_a_slip_is_away_again(client: TestClient) -> None:
    path = loan(client, "HD-18", "back")
    change = path.replace("/back", "/change")
    client.post(path, data=fields(client, path))
    assert client.post(change, data=fields(client, change) | {"back_at": ""}).status_code == 303

    assert "HD-18" in client.get("/loans").text


def test_a_slip_form_sent_back_untouched_changes_nothing(client: TestClient) -> None:
    client.post("/loans/new", data={"item": "CC-05", "borrower": "a choir"})
    path = loan(client, "CC-05", "change")
    before = fields(client, path)
    assert client.post(path, data=before).status_code == 303

    # The time holds seconds that the form doesn't show; the version tells that they stayed.
    assert fields(client, path) == before


def test_the_second_of_two_sees_what_the_first_changed_and_may_insist(client: TestClient) -> None:
    path = loan(client, "HD-18", "change")
    typed = fields(client, path)
    assert client.post(path, data=typed | {"due": "2026-11-20"}).status_code == 303

    second = client.post(path, data=typed | {"due": "2026-11-30"})

    assert second.status_code == 409
    assert "2026-11-20" in second.text
    assert 'value="2026-11-30"' in second.text
    seen = re.search(r'name="seen" value="(\d+)"', second.text)
    assert seen
    again = client.post(path, data=typed | {"due": "2026-11-30", "seen": seen[1]})
    assert again.status_code == 303


@pytest.mark.parametrize(
    ("typed", "status", "told"),
    [
        ({"item": "CC-05", "borrower": ""}, 422, "To whom: it is empty. Type something."),
        ({"item": "CC-05", "borrower": "x", "due": "soon"}, 422, "is no day."),
        ({"item": "HD-18", "borrower": "x"}, 409, "HD-18 is with a school"),
        ({"item": "CC-99", "borrower": "x"}, 404, "No item"),
    ],
)
def test_a_mistake_brings_the_form_back(
    typed: dict[str, str], status: int, told: str, client: TestClient
) -> None:
    answer = client.post("/loans/new", data=typed | {"note": "a note"})

    assert answer.status_code == status
    assert told in answer.text
    assert f'value="{typed["item"]}"' in answer.text
    assert ">a note</textarea>" in answer.text


@pytest.mark.parametrize(
    "path", ["/loans/9999/back", "/loans/9999/change", "/loans/99999999999999999999/back"]
)
def test_an_unknown_loan_is_told(path: str, looking: TestClient) -> None:
    assert looking.get(path).status_code == 404
