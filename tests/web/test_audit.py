"""The audit list says of every write who, when, from which device."""

import pytest
from form_fields import rows
from web.conftest import Lan

pytestmark = pytest.mark.slow


def test_every_write_says_who_and_from_which_device(lan: Lan) -> None:
    lan.lead.post("/screen", data={"who": "J.P."})
    phone = lan.phone(lan.person("tech"))
    phone.post("/CC-05/log", data={"text": "from the phone"})
    lan.phone().post("/unknown", data={"item": "CC-05", "text": "from nobody"})
    lan.lead.post("/CC-05/log", data={"text": "from the machine"})

    told = [row[1:4] for row in rows(lan.lead.get("/audit").text)]

    assert [row[:2] for row in told[:3]] == [
        ["J.P.", "page"],
        ["an unknown phone", "unknown phone"],
        ["the tech", "phone 1"],
    ]
    assert all(row[2].startswith("fault ") for row in told[:3])


def test_it_is_narrowed_to_a_person_or_a_device(lan: Lan) -> None:
    phone = lan.phone(lan.person("tech"))
    phone.post("/CC-05/log", data={"text": "from the phone"})

    for narrowed in ("device=phone+1", "who=the+tech"):
        found = rows(lan.lead.get(f"/audit?{narrowed}").text)
        assert {(row[1], row[2]) for row in found} == {("the tech", "phone 1")}
    assert "Nothing was written so" in lan.lead.get("/audit?who=nobody").text


def test_no_secret_stands_in_it(lan: Lan) -> None:
    lan.phone("J.P.")
    text = lan.lead.get("/audit").text

    assert "pairing 1" in text
    for word in ("ticket", "secret"):
        assert word not in text


def test_it_is_paged(lan: Lan) -> None:
    first, second = (rows(lan.lead.get(f"/audit?offset={n}").text) for n in (0, 50))

    assert len(first) == 50
    assert first != second
    assert lan.lead.get("/audit?offset=99999999999999999999").status_code in (200, 422)
