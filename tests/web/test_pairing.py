"""A phone is let in by a symbol, once, for two minutes; a lead ends it; nobody guesses it."""

import re
import secrets
from datetime import timedelta
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from web.conftest import Lan

from kb import clock
from kb.crew import pairings
from kb.errors import StorageError
from kb.web import limits
from kb.web.recognising import PHONE_COOKIE

pytestmark = pytest.mark.slow


def cookie_set(answer: object) -> str:
    headers = answer.headers.get_list("set-cookie")  # type: ignore[attr-defined]
    found: str = next(one for one in headers if one.startswith(f"{PHONE_COOKIE}="))
    return found


def test_a_scanned_symbol_lets_in_and_leads_back_to_the_label(lan: Lan) -> None:
    phone = lan.phone()
    assert phone.get("/CC-05").status_code == 403
    ticket = lan.ticket("J.P.")

    asked = phone.get(f"/pair?ticket={ticket}")
    assert "as J.P.?" in asked.text
    answer = phone.post("/pair", data={"ticket": ticket})

    assert (answer.status_code, answer.headers["location"]) == (303, "/CC-05")
    kept = cookie_set(answer).lower()
    for word in ("httponly", "samesite=lax", "path=/", "max-age=15552000"):
        assert word in kept
    assert "secure" not in kept  # plain http: it would never be sent again
    assert "You are" in phone.get("/CC-05").text
    fault = phone.post("/CC-05/log", data={"text": "five hums"}).headers["location"]
    assert "by J.P." in phone.get(fault).text


def test_over_https_the_cookie_is_for_https_alone(lan: Lan) -> None:
    phone = TestClient(
        lan.app, "https://192.168.10.20:8443", follow_redirects=False, client=("192.168.10.7", 1)
    )
    answer = phone.post("/pair", data={"ticket": lan.ticket("J.P.")})

    assert "secure" in cookie_set(answer).lower()


def test_looking_spends_nothing_and_pairing_all_of_it(lan: Lan) -> None:
    ticket, first, second = lan.ticket("J.P."), lan.phone(), lan.phone()
    for phone in (second, first):  # scanners look ahead at an address
        assert phone.get(f"/pair?ticket={ticket}").status_code == 200

    assert first.post("/pair", data={"ticket": ticket}).status_code == 303
    replay = second.post("/pair", data={"ticket": ticket})

    assert replay.status_code == 409
    assert "has been used" in replay.text
    assert PHONE_COOKIE not in second.cookies
    assert second.get(f"/pair?ticket={ticket}").status_code == 409


def test_after_two_minutes_it_is_over(lan: Lan, monkeypatch: pytest.MonkeyPatch) -> None:
    ticket, now = lan.ticket("J.P."), clock.now()
    monkeypatch.setattr(clock, "now", lambda: now + timedelta(minutes=2, seconds=1))

    assert lan.phone().post("/pair", data={"ticket": ticket}).status_code == 409


def test_whoever_guesses_is_slowed_down(lan: Lan, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "ticks", lambda: 1000.0)
    guesser, other = lan.phone(address="192.168.10.66"), lan.phone(address="192.168.10.67")
    guesses = [
        guesser.post("/pair", data={"ticket": secrets.token_urlsafe(32)}) for _ in range(200)
    ]

    statuses = [one.status_code for one in guesses]
    assert statuses == [409] * 10 + [429] * 190
    assert guesses[-1].headers["retry-after"] == "60"
    assert other.post("/pair", data={"ticket": lan.ticket("J.P.")}).status_code == 303

    monkeypatch.setattr(clock, "ticks", lambda: 1061.0)
    assert guesser.get("/pair?ticket=x").status_code == 409


def test_many_guessers_together_are_slowed_too(lan: Lan, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "ticks", lambda: 1000.0)
    statuses = [
        lan.phone(address=f"192.168.10.{last}").get("/pair?ticket=x").status_code
        for last in range(1, 100)
    ]
    assert statuses.count(409) == limits.usual()["pair"].total


@pytest.mark.parametrize("wrong", ["", "x", "%00", "../../etc", "'; DROP TABLE pairing; --"])
def test_a_cookie_of_ones_own_making_opens_nothing(wrong: str, lan: Lan) -> None:
    phone = lan.phone()
    phone.cookies.set(PHONE_COOKIE, wrong)
    phone.cookies.set("kitlore-who", "J.P.")

    assert phone.get("/gear").status_code == 403
    assert phone.post("/CC-05/close").status_code == 403


def test_a_lead_sees_every_phone_and_ends_one(lan: Lan) -> None:
    phone = lan.phone("J.P.")
    phone.get("/gear")
    page = lan.lead.get("/access").text
    assert "last used" in page
    number = re.findall(r"/access/(\d+)/end", page)[0]

    assert lan.lead.post(f"/access/{number}/end").status_code == 303

    assert phone.get("/gear").status_code == 403
    assert f"/access/{number}/end" not in lan.lead.get("/access").text
    assert lan.lead.post(f"/access/{number}/end").status_code == 404


def test_where_nothing_can_be_written_a_phone_reads_still(
    lan: Lan, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = lan.phone("J.P.")

    def full(*_given: object) -> None:
        raise StorageError("The disk is full.")

    monkeypatch.setattr(pairings, "note_use", full)
    assert phone.get("/gear").status_code == 200


def test_nobody_ends_or_offers_but_a_lead(lan: Lan) -> None:
    tech = lan.phone(lan.person("tech"))

    assert tech.post("/access/1/end").status_code == 403
    assert tech.post("/access/offer", data={"person": "J.P."}).status_code == 403


def test_a_changed_role_holds_at_once(lan: Lan) -> None:
    person = lan.person("tech")
    phone = lan.phone(person)
    assert phone.get("/gear/new").status_code == 200

    lan.lead.post(f"/people/{person}/change", data={"name": person, "role": "reader"})

    assert phone.get("/gear/new").status_code == 403
    assert phone.get("/gear").status_code == 200


def test_a_forgotten_person_is_let_in_no_more(lan: Lan) -> None:
    person = lan.person("tech")
    phone = lan.phone(person)
    lan.lead.post(f"/people/{person}/forget")

    assert phone.get("/gear").status_code == 403


def test_a_phone_cannot_choose_to_be_somebody_else(lan: Lan) -> None:
    phone = lan.phone(lan.person("tech"))
    phone.post("/screen", data={"who": "J.P."})
    phone.cookies.set("kitlore-who", "J.P.")
    fault = phone.post("/CC-05/log", data={"text": "five hums"}).headers["location"]

    assert "by the tech" in phone.get(fault).text


@pytest.mark.parametrize(
    "scanned", ["//evil.test/", "/\\evil.test", "https://evil.test", "/x\r\nSet-Cookie: a=b"]
)
def test_pairing_leads_nowhere_else(scanned: str, lan: Lan) -> None:
    phone = lan.phone()
    phone.cookies.set("kitlore-scanned", pages_quoted(scanned))
    answer = phone.post("/pair", data={"ticket": lan.ticket("J.P.")})

    assert answer.headers["location"] == "/"


def pages_quoted(text: str) -> str:
    return quote(text)


def test_a_script_sends_its_token_to_the_api_alone(lan: Lan) -> None:
    values = {"person": "J.P.", "device": "wall clock", "role": "reader"}
    shown = lan.lead.post("/access/script", data=values).text
    token = re.findall(r"Bearer ([\w-]+)", shown)[0]
    script = {"authorization": f"Bearer {token}"}
    client = lan.phone()

    assert client.get("/api/items", headers=script).status_code == 200
    assert client.post("/api/faults/6/close", headers=script, json={}).status_code == 403
    assert client.get("/gear", headers=script).status_code == 403
    client.cookies.set(PHONE_COOKIE, token)
    assert client.get("/gear").status_code == 403
    assert token not in lan.lead.get("/access").text


def test_neither_ticket_nor_secret_reaches_the_log(
    lan: Lan, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_given: object) -> None:
        msg = "broken on purpose"
        raise RuntimeError(msg)

    monkeypatch.setattr(pairings, "offered_to", broken)
    client = TestClient(
        lan.app, "http://192.168.10.20", client=("192.168.10.7", 1), raise_server_exceptions=False
    )
    client.cookies.set(PHONE_COOKIE, "a-secret")
    assert client.get("/pair?ticket=a-ticket").status_code == 500
    log = lan.app.state.place.log.read_text()

    assert "broken on purpose" in log
    assert "a-ticket" not in log
    assert "a-secret" not in log
