"""Before every address: whose host, how large, sent by which page, and from where."""

import itertools
import re
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient
from visiting import HERE, LAN, at_the_machine, on_the_network
from web.conftest import Lan

from kb.crew.hosts import Reach
from kb.records import workspace
from kb.web import app, guard

pytestmark = pytest.mark.slow


@pytest.mark.parametrize(
    ("host", "status"),
    [
        (HERE, 200),
        ("localhost:8017", 200),
        ("LOCALHOST", 200),
        ("[::1]:8017", 200),
        ("evil.test", 421),
        ("127.0.0.1.evil.test", 421),
        ("evil.test:8017", 421),
        ("", 421),
        ("localhost@evil.test", 421),
        ("localhost:8017:evil", 421),
        ("127.0.0.1\\evil.test", 421),
    ],
)
def test_only_our_own_hosts_are_answered(host: str, status: int, lan: Lan) -> None:
    answer = lan.lead.get("/gear", headers={"host": host})

    assert answer.status_code == status
    assert ("Gear" in answer.text) is (status == 200)


def test_a_host_that_a_label_bears_is_ours_at_once(lan: Lan) -> None:
    old = {"host": "kb.lan:8017"}
    assert lan.lead.get("/gear", headers=old).status_code == 421
    folder = lan.app.state.place.folder
    settings = folder / "kitlore.toml"
    text = settings.read_text().replace('host = "127.0.0.1:8017"', 'host = "KB.lan:8017"')
    settings.write_text(text)
    with at_the_machine(app.create_app(workspace.opened(folder))) as later:
        assert later.get("/CC-05/label.pdf").status_code == 200

    # Named no more by the settings, but a label with it hangs somewhere.
    assert on_the_network(lan.app).get("/gear", headers=old).status_code == 403


SENT = [
    ({"origin": f"http://{HERE}"}, True),
    ({"origin": f"http://{HERE}", "sec-fetch-site": "same-origin"}, True),
    ({"sec-fetch-site": "none"}, True),
    ({}, True),  # a program: it has no page that could have been tricked
    ({"origin": "http://evil.test"}, False),
    ({"origin": "null"}, False),
    ({"origin": ""}, False),
    ({"origin": "http://127.0.0.1:9999"}, False),
    ({"origin": f"http://{HERE}.evil.test"}, False),
    ({"origin": f"http://{HERE}", "sec-fetch-site": "cross-site"}, False),
    ({"sec-fetch-site": "same-site"}, False),
]


@pytest.mark.parametrize(("headers", "passes"), SENT, ids=str)
@pytest.mark.parametrize("path", ["/people/new", "/api/faults", "/CC-05/log", "/access/offer"])
def test_what_a_page_of_somebody_else_sends_does_nothing(
    path: str, headers: dict[str, str], lan: Lan, *, passes: bool
) -> None:
    before = lan.lead.get("/audit").text
    answer = lan.lead.post(
        path, data={"name": "Evil", "text": "x", "person": "M.O."}, headers=headers
    )

    assert (answer.status_code != 403) is passes
    if not passes:
        assert lan.lead.get("/audit").text.count("<tr>") == before.count("<tr>")
        assert "Evil" not in lan.lead.get("/people").text


def chunks(size: int) -> Iterator[bytes]:
    """Yield so many bytes without saying before how many they are."""
    yield from itertools.repeat(bytes(1_000_000), size // 1_000_000)


@pytest.mark.parametrize("path", ["/unknown", "/pair", "/CC-05/log", "/api/faults", "/scan"])
@pytest.mark.parametrize("announced", [True, False], ids=["announced", "in chunks"])
def test_what_is_too_large_is_not_read(path: str, lan: Lan, *, announced: bool) -> None:
    size = guard.MOST_BYTES + 1_000_000
    kind = {"content-type": "multipart/form-data; boundary=x"}
    body = bytes(size) if announced else chunks(size)
    if not announced:
        kind["content-type"] = "application/x-www-form-urlencoded"
    answer = lan.lead.post(path, content=body, headers=kind)

    assert answer.status_code == 413
    assert "25 MB fit" in answer.text


@pytest.mark.parametrize(
    "header", ["forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via"]
)
def test_what_a_proxy_passes_on_does_not_sit_at_the_machine(header: str, lan: Lan) -> None:
    assert lan.lead.get("/access").status_code == 200
    assert lan.lead.get("/access", headers={header: "192.168.10.9"}).status_code == 403


def test_behind_a_proxy_nobody_sits_at_the_machine(lan: Lan) -> None:
    made = app.create_app(lan.app.state.place, reach=Reach.PROXY)
    with at_the_machine(made) as client:
        assert client.get("/access").status_code == 403


def test_a_phone_that_says_it_is_the_machine_is_a_phone(lan: Lan) -> None:
    phone = lan.phone()

    for host in (HERE, "localhost"):
        assert phone.get("/access", headers={"host": host}).status_code == 403
    assert lan.lead.get("/access", headers={"host": LAN}).status_code in (403, 421)


HEADERS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
# OWASP Secure Headers Project: what a page needs none of is switched off.
OFF = ("camera=()", "microphone=()", "geolocation=()")


@pytest.mark.parametrize(
    "path",
    ["/", "/CC-05", "/nowhere/at/all", "/api/items", "/api/none", "/static/kitlore.js", "/pair"],
)
@pytest.mark.parametrize("who", ["lead", "stranger"])
def test_every_answer_carries_the_safe_headers(path: str, who: str, lan: Lan) -> None:
    client = lan.lead if who == "lead" else lan.phone()
    for answer in (client.get(path), client.get(path, headers={"host": "evil.test"})):
        for name, value in HEADERS.items():
            assert answer.headers[name] == value
        for one in OFF:
            assert one in answer.headers["permissions-policy"]
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert "server" not in answer.headers
        kept = answer.headers.get("cache-control")
        assert kept == "no-store" or path.startswith("/static/")


def test_no_page_holds_a_script_or_a_style_of_its_own(lan: Lan) -> None:
    for path in ("/", "/CC-05", "/faults/6", "/access", "/scan", "/review", "/screen"):
        text = lan.lead.get(path).text
        assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=|\son\w+=|<style", text), path


def test_a_closed_door_tells_nothing_to_a_tool(lan: Lan) -> None:
    phone: TestClient = lan.phone()
    answer = phone.get("/api/items")

    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == "Bearer"
    assert answer.headers["content-type"] == "application/problem+json"
