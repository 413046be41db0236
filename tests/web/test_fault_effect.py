"""What it did to the show is asked on the fault's page, one press, while nobody said."""

import pytest
from fastapi.testclient import TestClient
from form_fields import fields

pytestmark = pytest.mark.slow
ASKED = "Did the show suffer?"


@pytest.fixture
def there(client: TestClient) -> str:
    return str(client.post("/CC-05/log", data={"text": "dark"}).headers["location"])


def test_one_press_says_it_and_it_is_asked_no_more(client: TestClient, there: str) -> None:
    page = client.get(there).text
    assert ASKED in page
    assert page.count('name="effect" value="') == 3

    seen = fields(client, there)["seen"]
    answer = client.post(f"{there}/effect", data={"seen": seen, "effect": "one source lost"})
    assert (answer.status_code, answer.headers["location"]) == (303, there)
    after = client.get(there).text
    assert "<dt>Effect</dt><dd>one source lost" in after
    assert ASKED not in after


def test_it_is_not_asked_of_what_is_over(client: TestClient, there: str) -> None:
    client.post(f"{there}/close", data={"kind": "handling"})

    assert ASKED not in client.get(there).text


@pytest.mark.parametrize("typed", ["", "loud"])
def test_what_is_no_effect_is_told(typed: str, client: TestClient, there: str) -> None:
    answer = client.post(f"{there}/effect", data={"effect": typed})

    assert answer.status_code == 422
    assert "<li>What it did to the show: " in answer.text
