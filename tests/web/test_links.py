"""What is joined is listed, joined, parted, swapped in one act, and mended."""

import re

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

pytestmark = pytest.mark.slow
ENDS = {"from_item": "CC-07", "from_port": "video out", "to_item": "MM-01", "to_port": "in 2"}


@pytest.fixture
def link(client: TestClient) -> str:
    """The address of a link of the test's own."""
    answer = client.post("/links/new", data=ENDS | {"cable": "HD-28"})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_the_pages_of_the_list_hold_every_link_once(looking: TestClient) -> None:
    address, seen = "/links", list[str]()
    while address:
        page = looking.get(address).text
        seen += [row[0] for row in rows(page)]
        following = re.search(r'href="([^"]+)">More<', page)
        address = following[1].replace("&amp;", "&") if following else ""

    assert len(seen) == len(set(seen)) > 50


def test_the_links_of_one_thing_are_listed_alone(looking: TestClient) -> None:
    found = rows(looking.get("/links?item=vs-01").text)

    assert found
    assert all(any(cell.startswith("VS-01") for cell in row) for row in found)


def test_what_was_joined_at_a_time_is_told(client: TestClient, link: str) -> None:
    part = f"{link}/disconnect"
    client.post(part, data=fields(client, part))
    number = f"link {link.rpartition('/')[2]}"

    assert "Nothing is joined" in client.get("/links?item=HD-28").text
    change = f"{link}/change"
    times = {"since": "2026-10-29 18:00", "until": "2026-10-30 18:00"}
    assert client.post(change, data=fields(client, change) | times).status_code == 303
    then = rows(client.get("/links?item=HD-28&at=2026-10-30 12:00").text)
    assert [(row[0], row[4]) for row in then] == [(number, "")]
    assert "Nothing is joined" in client.get("/links?item=HD-28&at=2026-10-31 12:00").text


def test_a_time_that_is_none_is_told(looking: TestClient) -> None:
    answer = looking.get("/links?at=soon&item=VS-01")

    assert answer.status_code == 422
    assert "is no time" in answer.text
    assert 'value="VS-01"' in answer.text


def test_an_unknown_thing_is_told_and_stays_in_the_field(looking: TestClient) -> None:
    answer = looking.get("/links?item=ZZ-99")

    assert answer.status_code == 404
    assert 'value="ZZ-99"' in answer.text
    assert "No item" in answer.text


def test_a_lead_is_swapped_in_one_act_by_naming_both(client: TestClient, link: str) -> None:
    answer = client.post("/links/swap", data={"old": "HD-28", "new": "HD-12"})
    assert answer.status_code == 303, answer.text

    page = client.get(answer.headers["location"]).text
    assert "HD-12" in page
    assert "video out" in page
    assert "until" in client.get(link).text.lower()
    assert "Nothing is joined" in client.get("/links?item=HD-28").text


def test_a_jumper_gives_way_to_a_lead(client: TestClient) -> None:
    link = client.post("/links/new", data=ENDS).headers["location"]
    assert "a jumper without a label" in client.get(link).text
    path = f"{link}/replace"

    answer = client.post(path, data=fields(client, path) | {"new": "HD-12"})

    assert answer.status_code == 303, answer.text
    assert "HD-12" in client.get(answer.headers["location"]).text


@pytest.mark.parametrize(
    ("typed", "status", "told"),
    [
        ({"old": "HD-12", "new": "HD-28"}, 404, "It joins nothing now"),
        ({"old": "HD-28", "new": "CC-05"}, 422, "CC-05"),
        ({"old": "HD-28", "new": "nothing"}, 404, "No item"),
        ({"old": "", "new": ""}, 404, "No item"),
    ],
)
@pytest.mark.usefixtures("link")
def test_a_swap_that_can_not_be_is_told_and_changes_nothing(
    typed: dict[str, str], status: int, told: str, client: TestClient
) -> None:
    before = client.get("/links?item=HD-28").text
    answer = client.post("/links/swap", data=typed)

    assert answer.status_code == status
    assert told in answer.text
    assert f'value="{typed["old"]}"' in answer.text
    assert client.get("/links?item=HD-28").text == before


def test_a_slip_is_mended_its_times_too(client: TestClient, link: str) -> None:
    path = f"{link}/change"
    typed = fields(client, path)
    assert typed["until"] == ""
    times = {"since": "2026-10-30 18:00", "until": "2026-10-31 09:30"}
    assert client.post(path, data=typed | {"cable": "HD-12"} | times).status_code == 303
    page = client.get(link).text
    assert "HD-12" in page
    assert "2026-10-30 18:00" in page
    assert "2026-10-31 09:30" in page
    assert "Join these two again" in page

    stale = client.post(path, data=typed | {"cable": "HD-28"})
    assert stale.status_code == 409
    assert 'value="HD-28"' in stale.text
    seen = re.search(r'name="seen" value="(\d+)"', stale.text)
    assert seen
    open_again = fields(client, path) | {"until": ""}
    assert client.post(path, data=open_again).status_code == 303
    assert "Disconnect" in client.get(link).text


@pytest.mark.parametrize(
    ("over", "told"),
    [
        ({"since": ""}, "Joined since: "),
        ({"since": "soon"}, "Joined since: &#39;soon&#39; is no time"),
        ({"until": "2020-01-01"}, "before the start"),
        ({"from_port": ""}, "Its port: it is empty"),
        ({"cable": "CC-05"}, "CC-05"),
        ({"to_item": "nothing"}, "No item"),
    ],
)
def test_a_mistake_in_a_slip_keeps_what_was_typed(
    over: dict[str, str], told: str, client: TestClient, link: str
) -> None:
    path = f"{link}/change"
    answer = client.post(path, data=fields(client, path) | {"to_port": "in 9"} | over)

    assert answer.status_code in (404, 409, 422)
    assert told in answer.text
    assert 'value="in 9"' in answer.text
    assert "in 9" not in client.get(link).text


def test_only_one_of_two_parts_or_swaps_a_link(client: TestClient, link: str) -> None:
    part, swap = f"{link}/disconnect", f"{link}/replace"
    typed = fields(client, part)
    late = fields(client, swap) | {"new": "HD-12"}
    assert client.post(part, data=typed).headers["location"] == link

    for path, data in ((part, typed), (swap, late)):
        answer = client.post(path, data=data)
        assert answer.status_code == 409
        assert "until" in answer.text


def test_what_is_known_already_stands_in_the_form(client: TestClient) -> None:
    path = "/links/new?from_item=CC-07&from_port=video+out&to_item=MM-01&to_port=in+2&cable=HD-28"

    assert fields(client, path) == ENDS | {"cable": "HD-28"}


@pytest.mark.parametrize("path", ["/links/9999", "/links/9999/replace", "/links/nothing"])
def test_an_unknown_link_is_told(path: str, looking: TestClient) -> None:
    assert looking.get(path).status_code in (404, 422)
