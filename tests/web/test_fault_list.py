"""Faults in a list: narrowed by the address, paged, a mistake in a filter told."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import rows

pytestmark = pytest.mark.slow
NUMBER = re.compile(r'<td data-name="Reported"><a href="/faults/(\d+)"')


def every(client: TestClient, address: str) -> list[str]:
    """Return the numbers on all pages of a list, in their order."""
    found: list[str] = []
    while address:
        page = client.get(address).text
        found += NUMBER.findall(page)
        following = re.search(r'href="([^"]+)">More<', page)
        address = following[1].replace("&amp;", "&") if following else ""
    return found


def test_the_pages_hold_every_fault_once_the_newest_first(looking: TestClient) -> None:
    found = every(looking, "/faults")
    times = [row[2] for row in rows(looking.get("/faults").text)]

    assert len(found) == len(set(found)) > 50
    assert times == sorted(times, reverse=True)


@pytest.fixture
def of_each_state(client: TestClient) -> TestClient:
    """A client on a studio that has an open and a watched fault too; the story's are closed."""
    for text in ("hum on the bus", "snow in the picture"):
        there = client.post("/CC-05/log", data={"text": text}).headers["location"]
    client.post(f"{there}/try", data={"what": "pushed the plug home", "outcome": "worked"})
    return client


def test_each_fault_is_in_one_state_and_every_row_tells_it(of_each_state: TestClient) -> None:
    found: list[str] = []
    for state in ("open", "watched", "closed"):
        page = of_each_state.get(f"/faults?state={state}").text
        assert {row[1].split()[-1] for row in rows(page)} == {state}
        assert f'<option value="{state}" selected>' in page
        found += every(of_each_state, f"/faults?state={state}")

    assert sorted(found) == sorted(every(of_each_state, "/faults"))


def test_the_faults_of_a_thing_were_seen_on_it_or_caused_by_it(looking: TestClient) -> None:
    found = rows(looking.get("/faults?item=CC-05").text)

    assert found
    assert all("CC-05" in row[3] or "CC-05" in row[5] for row in found)


def test_the_next_page_keeps_the_filters(looking: TestClient) -> None:
    page = looking.get("/faults?state=closed&text=e").text
    following = re.search(r'href="([^"]+)">More<', page)
    assert following

    after = looking.get(following[1].replace("&amp;", "&")).text

    assert 'name="text" value="e"' in after
    assert '<option value="closed" selected>' in after
    assert set(NUMBER.findall(page)).isdisjoint(NUMBER.findall(after))
    before = re.search(r'href="([^"]+)">Earlier ones<', after)
    assert before
    again = looking.get(before[1].replace("&amp;", "&")).text
    assert NUMBER.findall(again) == NUMBER.findall(page)


@pytest.mark.parametrize(
    ("asked", "status", "told"),
    [
        ("state=lost&text=hum", 422, "State: "),
        ("item=ZZ-99&text=hum", 404, "ZZ-99"),
        ("place=Attic&text=hum", 404, "Attic"),
        ("entry=none-such&text=hum", 404, "none-such"),
    ],
)
def test_a_mistake_in_a_filter_is_told_and_loses_no_other(
    asked: str, status: int, told: str, looking: TestClient
) -> None:
    answer = looking.get(f"/faults?{asked}")

    assert answer.status_code == status
    assert told in answer.text
    assert 'name="text" value="hum"' in answer.text


@pytest.mark.parametrize(("offset", "status"), [("-5", 200), ("99999999999", 200), ("soon", 422)])
def test_an_offset_that_leads_nowhere_does_no_harm(
    offset: str, status: int, looking: TestClient
) -> None:
    assert looking.get(f"/faults?offset={offset}").status_code == status
