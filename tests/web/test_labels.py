"""Labels are looked at before paper; a label printed ahead asks what it is on."""

import io
import re
from collections.abc import Callable

import pytest
import zxingcpp
from calls import called
from fastapi.testclient import TestClient
from form_fields import fields
from PIL import Image

from kb.gear import codes

pytestmark = pytest.mark.slow
NEVER_DRAWN = "K7M4XV"


def read(picture: bytes) -> list[str]:
    """Return what an independent reader (ZXing) finds on a picture."""
    with Image.open(io.BytesIO(picture)) as opened:
        return [found.text for found in zxingcpp.read_barcodes(opened.convert("L"))]


def reserve(client: TestClient, count: int = 2) -> list[str]:
    """Reserve codes by the page, and return those on the sheet it leads to."""
    there = client.post("/labels/ahead", data={"count": str(count)}).headers["location"]
    assert f"{count} labels; the first page" in client.get(there).text
    picture = client.get(there.replace("/labels?", "/labels.png?")).content
    return [text.rpartition("/")[2] for text in read(picture)]


def test_what_is_shown_is_what_would_be_printed(looking: TestClient) -> None:
    asked = {"which": "those named", "names": "CC-05, HD-19\nRack room", "stock": "a4-3x7-63x38"}
    page = looking.get("/labels", params=asked).text
    assert "4 labels; the first page" in page
    source = re.search(r'<img src="(/labels.png[^"]+)"', page)
    assert source
    shown = read(looking.get(source[1].replace("&amp;", "&")).content)
    assert len(shown) == 1 + 4 + 1
    assert looking.get("/labels.pdf", params=asked).content.startswith(b"%PDF-")


def test_a_thing_shows_its_label_and_a_cable_both_ends(
    looking: TestClient, code: Callable[[str], str]
) -> None:
    assert looking.get("/CC-05/label").text.count("<img src=") == 1
    page = looking.get("/HD-19/label").text
    sources = re.findall(r'<img src="([^"]+)" alt="Label for end ([AB])', page)
    assert [end for _source, end in sources] == ["A", "B"]
    for source, _end in sources:
        picture = looking.get(source.replace("&amp;", "&")).content
        assert {text.rpartition("/")[2] for text in read(picture)} == {code("HD-19")}


def test_stocks_that_go_round_cables_are_not_offered_for_other_things(
    looking: TestClient,
) -> None:
    offered = re.findall(r"<option[^>]*>([^<]+)</option>", looking.get("/CC-05/label").text)
    assert "roll-50x25" in offered
    assert not [name for name in offered if "wrap" in name]


@pytest.mark.parametrize(
    ("asked", "status", "told"),
    [
        ({"which": "those named", "names": ""}, 422, "name what to label"),
        ({"which": "those named", "names": "ZZ-99"}, 404, "No item"),
        ({"names": "CC-05", "start": "99"}, 422, "there is no label 99"),
        ({"names": "CC-05", "start": "two"}, 422, "is no number of labels"),
        ({"names": "CC-05", "stock": "clay"}, 404, "No label stock"),
        ({"names": "CC-05", "printer": "nobody"}, 404, "No printer"),
        ({"names": "CC-05", "diameter": "thick"}, 422, "Write it like 6.1"),
        ({"names": "HD-19", "stock": "roll-wrap-25x38"}, 422, "how thick is HD-19?"),
        ({"which": "unused codes"}, 404, "No unused code"),
        ({"names": "x" * 400}, 404, "No item"),
    ],
)
def test_what_can_not_be_printed_is_told(
    asked: dict[str, str], status: int, told: str, looking: TestClient
) -> None:
    answer = looking.get("/labels", params=asked)
    assert answer.status_code == status
    assert told in answer.text.replace("&#39;", "'")
    assert looking.get("/labels.pdf", params=asked).status_code == status


def test_a_host_that_no_phone_opens_is_told(looking: TestClient) -> None:
    assert "no phone opens it" in looking.get("/labels").text


def test_the_first_scan_of_a_reserved_code_asks_what_it_is_on(client: TestClient) -> None:
    first, second = reserve(client)
    page = client.get(f"/{first.lower()}")
    assert page.status_code == 200
    assert "This is a new thing" in page.text
    assert codes.shown(first) in page.text

    typed = {"name": "CC-99", "model": "Tern 14", "place": "Office"}
    made = client.post(f"/{first}/new", data=typed)
    assert (made.status_code, made.headers["location"]) == (303, f"/{first}")
    assert "CC-99" in client.get(f"/{first}").text

    made = client.post(f"/{second}/place", data={"name": "case 9", "kind": "case"})
    assert made.headers["location"] == f"/places/{second}"
    assert "case 9" in client.get(f"/places/{second}").text


def test_a_new_label_on_a_known_thing_leaves_the_old_one_good(
    client: TestClient, code: Callable[[str], str]
) -> None:
    old, (new, *_rest) = code("CC-05"), reserve(client)
    made = client.post(f"/{new}/relabel", data={"item": "CC-05"})
    assert made.status_code == 303
    for one in (old, new):
        assert "CC-05" in client.get(f"/{one}").text
    assert codes.shown(new) in client.get(f"/{old}").text


def test_a_new_label_on_a_known_place_leaves_the_old_one_good(client: TestClient) -> None:
    new, *_rest = reserve(client)
    old = re.search(r'href="/places/(\w{6})">Studio floor', client.get("/places").text)
    assert old
    assert "a thing or a place we know" in client.get(f"/{new}").text
    made = client.post(f"/{new}/relabel", data={"item": old[1]})
    assert made.status_code == 303
    for one in (old[1], new):
        page = client.get(f"/{one}", follow_redirects=True)
        assert page.status_code == 200
        assert codes.shown(new) in page.text
    assert f'href="/places/{new}"' in client.get("/places").text


def test_a_code_reserved_before_an_old_backup_still_registers(
    client: TestClient, folder: object
) -> None:
    page = client.get(f"/{NEVER_DRAWN}")
    assert page.status_code == 404
    assert "This base never drew that code" in page.text
    made = client.post(f"/{NEVER_DRAWN}/new", data={"name": "CC-99"})
    assert made.status_code == 303
    told = called("-w", folder, "item", "see", "CC-99", "--json").json
    assert told["line"]["code"] == NEVER_DRAWN


@pytest.mark.parametrize(
    ("way", "typed", "told"),
    [
        ("new", {"name": ""}, "Name: it is empty"),
        ("new", {"name": "CC-05", "model": "Tern 14"}, "There is an item 'CC-05'"),
        ("new", {"name": "CC-99", "place": "attic"}, "No place"),
        ("place", {"name": "", "kind": "case"}, "Name: it is empty"),
        ("place", {"name": "case 9", "kind": "heap"}, "Kind: 'heap' is none of"),
        ("relabel", {"item": "ZZ-99"}, "No item"),
    ],
)
def test_a_mistake_brings_the_form_back(
    way: str, typed: dict[str, str], told: str, client: TestClient
) -> None:
    answer = client.post(f"/{NEVER_DRAWN}/{way}", data=typed)
    assert answer.status_code in (404, 409, 422)
    assert told in answer.text.replace("&#39;", "'")
    assert f'action="/{NEVER_DRAWN}/{way}"' in answer.text
    for value in filter(None, typed.values()):
        assert value in answer.text


def test_a_label_on_something_already_is_not_given_again(
    client: TestClient, code: Callable[[str], str]
) -> None:
    answer = client.post(f"/{code('CC-05')}/new", data={"name": "CC-99"})
    assert answer.status_code == 409
    assert "is on CC-05 already" in answer.text


@pytest.mark.parametrize("count", ["0", "", "many", "5001", "9" * 40])
def test_a_number_of_codes_out_of_range_is_refused(count: str, looking: TestClient) -> None:
    answer = looking.post("/labels/ahead", data={"count": count})
    assert answer.status_code == 422
    assert "give a number from 1 to 5000" in answer.text


def test_what_a_scanner_types_into_the_search_field_opens_the_thing(
    looking: TestClient, code: Callable[[str], str]
) -> None:
    wanted = code("CC-05")
    for typed in (
        f"http://old.host:99/{wanted}",
        f"http\u00d6--OLD.HOST-{wanted}",
        wanted.lower(),
    ):
        answer = looking.get("/", params={"q": typed})
        assert (answer.status_code, answer.headers["location"]) == (303, f"/{wanted}")
    assert looking.get("/", params={"q": "no sound"}).status_code == 200
    assert looking.get("/", params={"q": NEVER_DRAWN}).status_code == 200


def test_the_form_for_codes_can_be_sent_as_it_stands(client: TestClient) -> None:
    made = client.post("/labels/ahead", data=fields(client, "/labels/ahead"))
    assert made.status_code == 303
    assert "21 codes reserved" in client.get("/labels").text
