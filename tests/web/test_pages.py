"""Every page answers; every form keeps what was typed, says what is wrong, and does its work."""

import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow
Code = Callable[[str], str]

LOOKED_AT = (
    "/gear", "/gear?state=retired", "/gear?equipment_class=drive&text=silo", "/gear?offset=50",
    "/gear/new", "/gear/models", "/gear/models/new", "/gear/models/Halvetta Tern 14/change",
    "/gear/models/Halvetta Tern 14/merge", "/places", "/places/new", "/links", "/links?item=VS-01",
    "/links/new", "/links/1", "/links/1/change", "/shows", "/shows/new", "/shows/1/change",
    "/shows/1/cancel", "/loans", "/spares", "/spares/new", "/services", "/services/new", "/people",
    "/people/new", "/people/M.O./change", "/people/M.O./forget", "/faults",
    "/faults?state=closed&item=RC-02", "/faults?offset=50", "/faults/87/correct", "/review",
    "/review/buy", "/review/buy?name=cable", "/review/model?name=Granary 4", "/review/model",
    "/review/item?name=MK-02", "/review/drives", "/review/fixes", "/review/first?rank=cost",
    "/review/before", "/review/before?name=Tern 14&day=2026-03-19",
    "/health", "/screen", "/CC-05/change", "/CC-05/move", "/CC-05/state", "/CC-05/lend",
    "/CC-05/swap", "/CC-05/merge", "/CC-05/merge?into=CC-06", "/CC-05/history",
    "/?place=Rack room", "/?q=hum&area=Audio&item=AM-01", "/faults/6/steps/replug/1",
)  # fmt: skip


@pytest.mark.parametrize("path", LOOKED_AT)
def test_a_page_answers_with_one_heading(path: str, looking: TestClient) -> None:
    answer = looking.get(path)

    assert answer.status_code == 200, answer.text[-800:]
    assert len(re.findall("<h1[ >]", answer.text)) == 1
    assert "default-src 'none'" in answer.headers["content-security-policy"]


UNKNOWN = (
    "/ZZ-99", "/ZZ-99/change", "/K7M4XX", "/faults/9999", "/faults/99999999999999999999",
    "/links/9999", "/faults/6/steps/replug/99", "/faults/6/steps/nothing/1",
    "/?place=nowhere", "/links/99999999999999999999",
    "/shows/9999/change", "/people/nobody/change",
    "/gear/models/nothing/change", "/places/nowhere", "/gear?place=nowhere", "/gear?state=lost",
    "/faults?item=ZZ-99", "/faults?state=lost", "/review?since=soon", "/photos/none",
    "/review/nothing", "/review/buy?name=sofa", "/review/buy/paper.pdf?name=sofa",
    "/review/first?rank=luck",
)  # fmt: skip


@pytest.mark.parametrize("path", UNKNOWN)
def test_what_is_unknown_gets_a_sentence_and_no_trace(path: str, looking: TestClient) -> None:
    answer = looking.get(path)

    assert answer.status_code in (404, 422)
    assert "<h1>" in answer.text
    assert "Traceback" not in answer.text


def fields(client: TestClient, path: str) -> dict[str, str]:
    """Return what stands in the inputs of a form, the version that was looked at among them."""
    text = client.get(path).text
    found = re.findall(r'<input[^>]* name="(\w+)"[^>]* value="([^"]*)"', text)
    return {name: value for name, value in found if name not in ("q", "back")}


def test_a_thing_is_added_changed_moved_and_taken_out_of_use(client: TestClient) -> None:
    typed = {"name": "CC-99", "model": "Tern 14", "place": "Office", "price": "980"}
    there = client.post("/gear/new", data=typed).headers["location"].removesuffix("/label")
    assert "CC-99" in client.get(there).text

    for path, given, told in (
        ("change", {"name": "CC-98", "serial": "HA1"}, "HA1"),
        ("move", {"place": "Thrennow House/Workshop and store/S1", "reason": "spare"}, "S1"),
        ("state", {"state": "set aside", "reason": "dead"}, "set aside"),
        ("state", {"state": "fit", "reason": ""}, "fit"),
        ("lend", {"borrower": "a theatre"}, "on loan to a theatre"),
    ):
        answer = client.post(f"{there}/{path}", data=fields(client, f"{there}/{path}") | given)
        assert answer.status_code == 303, answer.text
        assert told in client.get(there).text
    assert client.post(f"{there}/back").status_code == 303
    history = client.get(f"{there}/history").text
    assert "CC-99 → CC-98" in history
    assert "a theatre" not in client.get("/loans").text


def test_a_mistake_brings_the_form_back_with_what_was_typed(client: TestClient) -> None:
    answer = client.post("/gear/new", data={"name": "CC-05", "price": "much", "note": "a note"})

    assert answer.status_code == 422
    assert 'value="CC-05"' in answer.text
    assert ">a note</textarea>" in answer.text
    assert "price" in answer.text


def test_the_second_of_two_is_told_what_the_first_changed(client: TestClient) -> None:
    first = fields(client, "/CC-05/change")
    assert client.post("/CC-05/change", data=first | {"serial": "NEW-1"}).status_code == 303

    answer = client.post("/CC-05/change", data=first | {"serial": "NEW-2"})

    assert answer.status_code == 409
    assert "NEW-1" in answer.text
    assert 'value="NEW-2"' in answer.text


def test_a_spare_takes_the_place_and_the_links_of_a_unit(client: TestClient) -> None:
    page = "/CC-05/swap"
    answer = client.post(page, data=fields(client, page) | {"spare": "CC-07"})

    assert answer.status_code == 303, answer.text
    assert "CC-07 video out" in client.get("/links?item=CC-07").text
    assert "Nothing is joined" in client.get("/links?item=CC-05").text


def test_two_records_become_one(client: TestClient, code: Code) -> None:
    gone = code("XL-06")
    answer = client.post("/XL-06/merge", data={"into": "XL-05"})

    assert answer.status_code == 303, answer.text
    assert "XL-05" in client.get(f"/{gone}").text


def test_ports_are_joined_the_lead_swapped_and_parted(client: TestClient) -> None:
    ends = {"from_item": "CC-07", "from_port": "video out", "to_item": "MM-01", "to_port": "in 2"}
    typed = ends | {"cable": "HD-28"}
    link = client.post("/links/new", data=typed).headers["location"]
    answer = client.post(
        f"{link}/replace", data=fields(client, f"{link}/replace") | {"new": "HD-12"}
    )
    assert answer.status_code == 303, answer.text
    link = answer.headers["location"]
    assert "HD-12" in client.get(link).text

    assert (
        client.post(f"{link}/disconnect", data=fields(client, f"{link}/disconnect")).status_code
        == 303
    )
    assert "until" in client.get(link).text
    assert client.post("/links/new", data=typed | {"cable": "CC-05"}).status_code in (409, 422)


def test_a_show_is_planned_changed_and_called_off(client: TestClient) -> None:
    typed = {"title": "Panel on bees", "kind": "show", "air_at": "2026-11-05 19:00"}
    assert client.post("/shows/new", data=typed).status_code == 303
    found = re.search(r'href="(/shows/\d+)/change">Panel on bees', client.get("/shows").text)
    assert found
    show = found[1]
    later = fields(client, f"{show}/change") | {"air_at": "2026-11-05 20:00"}
    assert client.post(f"{show}/change", data=later).status_code == 303
    assert "2026-11-05 20:00" in client.get("/shows").text
    assert client.post(f"{show}/cancel", data=fields(client, f"{show}/cancel")).status_code == 303
    assert "take that back" in client.get("/shows").text
    assert client.post("/shows/new", data={"title": "x", "air_at": "soon"}).status_code == 422


def test_places_grow_move_and_go(client: TestClient) -> None:
    there = client.post(
        "/places/new", data={"name": "S9", "kind": "shelf", "within": "Office"}
    ).headers["location"]
    assert "Office/S9" in client.get(there).text
    scanned = client.get(there.removeprefix("/places"))
    assert scanned.headers["location"] == there
    moved = fields(client, f"{there}/change") | {"kind": "shelf", "within": "Studio floor"}
    assert client.post(f"{there}/change", data=moved).status_code == 303
    assert "Studio floor/S9" in client.get(there).text
    assert (
        client.post(f"{there}/retire", data=fields(client, f"{there}/retire")).status_code == 303
    )
    assert "S9" not in client.get("/places").text


def test_models_are_added_changed_and_merged(client: TestClient) -> None:
    typed = {
        "maker": "Halvetta",
        "name": "Tern 15",
        "equipment_class": "call-computer",
        "technical": "weight=1.4 kg\n",
    }
    assert client.post("/gear/models/new", data=typed).status_code == 303
    path = "/gear/models/Halvetta Tern 15"
    changed = typed | fields(client, f"{path}/change") | {"technical": "ports=2, both left\n"}
    assert client.post(f"{path}/change", data=changed).status_code == 303
    assert "ports=2, both left" in client.get("/gear/models").text
    assert client.post(f"{path}/merge", data={"into": "Halvetta Tern 14"}).status_code == 303
    assert "Tern 15" not in client.get("/gear/models").text


def test_people_come_change_and_are_forgotten(client: TestClient) -> None:
    assert client.post("/people/new", data={"name": "Q.Q.", "role": "tech"}).status_code == 303
    changed = fields(client, "/people/Q.Q./change") | {"role": "lead"}
    assert client.post("/people/Q.Q./change", data=changed).status_code == 303
    assert client.post("/people/Q.Q./forget").status_code == 303
    assert "Q.Q." not in client.get("/people").text


def test_a_service_is_written_down_and_a_spare_rule_set(client: TestClient) -> None:
    typed = {
        "kind": "repair",
        "work": "new fan",
        "items": "RC-01, RC-03",
        "cost": "40",
        "result": "pass",
    }
    assert client.post("/services/new", data=typed).status_code == 303
    assert "new fan" in client.get("/RC-03").text
    rule = {"name": "recorders", "minimum": "1", "models": "Granary 6", "place": "Rack room"}
    assert client.post("/spares/new", data=rule).status_code == 303
    assert "recorders" in client.get("/spares").text


def test_a_slip_in_a_report_or_an_attempt_is_mended(client: TestClient) -> None:
    number = client.post("/CC-05/log", data={"text": "five is gren"}).headers["location"]
    typed = fields(client, f"{number}/correct") | {"text": "six is green", "item": "CC-06"}
    assert client.post(f"{number}/correct", data=typed).status_code == 303
    page = client.get(number).text
    assert "six is green" in page
    assert ">CC-06</a>" in page

    client.post(f"{number}/try", data={"what": "wiggled", "outcome": "worked"})
    attempt = re.search(rf'href="{number}/attempts/(\d+)"', client.get(number).text)
    assert attempt
    slip = f"{number}/attempts/{attempt[1]}"
    assert client.post(slip, data={"mend": "it did not work"}).status_code == 303
    assert "did not work" in client.get(number).text
    assert client.post(slip, data={"mend": "it was never made", "reason": ""}).status_code == 422
    assert (
        client.post(slip, data={"mend": "it was never made", "reason": "other"}).status_code == 303
    )
    assert "struck out: other" in client.get(number).text


def test_the_screen_keeps_who_sits_there_and_leads_nowhere_else(client: TestClient) -> None:
    answer = client.post("/screen", data={"who": "J.P.", "back": "//elsewhere.test/"})
    assert answer.headers["location"] == "/"
    number = client.post("/CC-05/log", data={"text": "hum"}).headers["location"]
    assert "by J.P." in client.get(number).text
