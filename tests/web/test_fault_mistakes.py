"""A slip of the finger: undone right after the press, or later from the form of slips."""

import pytest
from fastapi.testclient import TestClient
from form_fields import fields

pytestmark = pytest.mark.slow
UNDO = "Logged by mistake? Take it back"


@pytest.fixture
def there(client: TestClient) -> str:
    """The address of a fault that one press just logged."""
    answer = client.post("/CC-05/log", data={"text": "battery swollen"})
    assert answer.status_code == 303
    return str(answer.headers["location"])


def test_right_after_the_press_it_is_undone_in_one(client: TestClient, there: str) -> None:
    assert UNDO in client.get(there).text
    seen = fields(client, there)["seen"]
    answer = client.post(f"{there}/mistaken", data={"seen": seen})
    assert (answer.status_code, answer.headers["location"]) == (303, there)

    page = client.get(there).text
    assert "Taken back." in page
    assert "○</span> mistaken" in page
    assert f'action="{there}/try"' not in page
    assert f'action="{there}/close"' not in page
    assert "battery swollen" not in client.get("/faults").text
    assert "battery swollen" in client.get("/faults?state=mistaken").text
    assert "battery swollen" not in client.get("/").text
    assert f'href="{there}"' not in client.get("/?q=battery+swollen").text


def test_no_mistake_after_all_and_it_stands_again(client: TestClient, there: str) -> None:
    client.post(f"{there}/mistaken", data={})
    client.post(f"{there}/meant", data={})

    assert UNDO in client.get(there).text
    assert "battery swollen" in client.get("/faults?state=open").text
    assert f'href="{there}"' in client.get("/?q=battery+swollen").text


def test_once_something_was_tried_the_form_of_slips_has_it(client: TestClient, there: str) -> None:
    client.post(f"{there}/try", data={"what": "looked", "outcome": "did not work"})
    assert UNDO not in client.get(there).text
    assert f'action="{there}/mistaken"' in client.get(f"{there}/correct").text

    client.post(f"{there}/mistaken", data={})
    assert f'action="{there}/mistaken"' not in client.get(f"{there}/correct").text
    assert "struck out: its fault was logged by mistake" in client.get(there).text


def test_who_was_second_is_told(client: TestClient, there: str) -> None:
    client.post(f"{there}/mistaken", data={})
    answer = client.post(f"{there}/mistaken", data={})

    assert answer.status_code == 409
    assert "is taken back already" in answer.text
    assert client.post("/faults/99999/mistaken", data={}).status_code == 404
