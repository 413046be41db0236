"""An address that only takes what a form sends, opened again: it leads to the thing's page."""

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


@pytest.mark.parametrize(
    ("address", "there"),
    [
        ("/faults/89/close", "/faults/89"),
        ("/faults/89/try", "/faults/89"),
        ("/faults/89/mistaken", "/faults/89"),
        (f"/faults/89/photos/{'a' * 64}/down", "/faults/89"),
        ("/CC-05/back", "/CC-05"),
        ("/shows/1/reinstate", "/shows"),
        ("/entries/battery-swollen/status", "/entries/battery-swollen"),
        ("/entries/wanted/answer", "/entries/wanted"),
        ("/access/offer", "/access"),
        ("/access/1/end", "/access"),
    ],
)
def test_it_leads_to_the_page_above(address: str, there: str, looking: TestClient) -> None:
    answer = looking.get(address)

    assert (answer.status_code, answer.headers["location"]) == (303, there)


def test_what_no_page_stands_above_and_other_ways_of_asking_are_still_refused(
    looking: TestClient,
) -> None:
    assert looking.put("/faults/89/close").status_code == 405
    assert looking.delete("/faults/89").status_code == 405
    assert looking.get("/api/faults/89/close").status_code == 405
