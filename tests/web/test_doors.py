"""Every route and every role: who may not gets nothing, who may is answered."""

import re

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient
from web.conftest import Lan

from kb.crew import roles
from kb.records.kinds import Role
from kb.web import app, doors

pytestmark = pytest.mark.slow
# What stands in an address where the route leaves it open.
FILLED = {
    "number": "6", "fix": "replug", "step": "1", "attempt": "3", "slug": "display-colour-shift",
    "code": "CC-05", "kind": "fixes", "key": "fixes", "name:path": "none", "digest": "0" * 64,
}  # fmt: skip
NOT_YOURS = "you are let in as"
REFUSED = {"the reader": NOT_YOURS, "the tech": NOT_YOURS, "": "This phone isn't known here"}


def routes() -> set[str]:
    """Return every method and path that the pages and the API have."""
    found = {
        f"{method} {route.path}"
        for module in app.ROUTES
        for route in module.router.routes
        if isinstance(route, APIRoute)
        for method in route.methods or ()
    }
    return found | {"GET /static", "GET /api/openapi.json"}


def test_every_route_has_its_row_and_every_row_its_route() -> None:
    assert routes() == set(doors.ROWS)


def test_what_has_no_row_is_a_leads() -> None:
    assert doors.needed("POST", "/a/page/to/come") is Role.LEAD


def concrete(path: str) -> str:
    return re.sub(r"{([^}]+)}", lambda found: FILLED[found[1]], path)


def asked(client: TestClient, row: str) -> tuple[int, str]:
    """Ask for what a row names, with an empty form, and return how that is answered."""
    method, path = row.split(" ")
    path = "/static/kitlore.css" if path == "/static" else concrete(path)
    answer = client.request(method, path, json={} if path.startswith("/api/") else None)
    return answer.status_code, answer.text


@pytest.mark.parametrize("role", [None, *Role], ids=str)
def test_each_role_gets_what_its_rows_say(role: Role | None, lan: Lan) -> None:
    person = lan.person(role) if role else ""
    phone = lan.phone(person)
    for row, needed in doors.ROWS.items():
        if row in ("POST /pair", "GET /pair"):
            continue  # the way in: held in test_pairing
        status, text = asked(phone, row)
        if roles.covers(role, needed):
            assert status not in (401, 403), f"{row} refuses a {role}"
        elif "/api/" in row:
            assert status == (403 if role else 401), row
            assert "Bearer" in text or NOT_YOURS in text, row
        else:
            assert status == 403, row
            assert REFUSED[person] in text, row


def test_a_stranger_learns_nothing_of_what_is_here(lan: Lan) -> None:
    phone = lan.phone()
    known, none = phone.get("/CC-05"), phone.get("/ZZ-99")
    secret = re.compile(r'name="client_key" value="[^"]+"|value="/[^"]*"')

    assert secret.sub("", known.text) == secret.sub("", none.text)
    for words in ("Tern", "Rack room", "J.P.", "top-q", "All parts"):
        assert words not in known.text


def test_where_a_lead_allows_it_strangers_read_and_change_nothing(lan: Lan) -> None:
    lan.lead.post("/access/strangers", data={"strangers": "report and read"})
    phone = lan.phone()
    for row, needed in doors.ROWS.items():
        if row.endswith("/pair"):
            continue
        status, _text = asked(phone, row)
        reads = row.startswith("GET ") and roles.covers(Role.READER, needed)
        assert (status not in (401, 403)) is (reads or needed is None), row


def test_who_sits_at_the_machine_is_asked_nothing(lan: Lan) -> None:
    for row in doors.ROWS:
        if row.startswith("GET ") and not row.endswith("/pair"):
            assert asked(lan.lead, row)[0] not in (401, 403), row
