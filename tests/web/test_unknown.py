"""A phone that nobody knows leaves a fault: kept, marked, seen at once, adopted later."""

import io
import re

import pytest
from PIL import Image
from web.conftest import Lan

from kb import clock
from kb.web import limits

pytestmark = pytest.mark.slow


def left(lan: Lan, **over: str) -> str:
    """Leave a fault and return where it leads."""
    values = {"item": "CC-05", "text": "no picture", "client_key": "k1"} | over
    answer = lan.phone().post("/unknown", data=values)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def number_of(address: str) -> str:
    return address.rsplit("=", 1)[1]


def test_it_is_kept_marked_shown_and_adopted(lan: Lan) -> None:
    there = left(lan)
    fault = f"/faults/{number_of(there)}"
    assert "Kept as fault" in lan.phone().get(there).text

    page = lan.lead.get(fault).text
    assert "from an unknown phone" in page
    assert "an unknown phone" in lan.lead.get("/CC-05").text
    seen = re.findall(r'adopt".*?name="seen" value="(\d+)"', page)[0]
    tech = lan.phone(lan.person("tech"))
    assert tech.post(f"{fault}/adopt", data={"seen": seen}).status_code == 303

    page = lan.lead.get(fault).text
    assert "by the tech" in page
    assert "from an unknown phone" not in page
    assert lan.lead.post(f"{fault}/adopt", data={"seen": seen}).status_code == 409
    assert "unknown phone" in lan.lead.get("/audit").text


def test_a_double_press_is_one_fault(lan: Lan) -> None:
    assert left(lan) == left(lan)
    assert left(lan, client_key="k2") != left(lan)


def test_with_a_photo_it_is_kept_with_it_and_with_a_broken_one_without(lan: Lan) -> None:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "navy").save(file, "JPEG")
    values = {"item": "CC-05", "text": "no picture"}
    for content, status, pictures in ((file.getvalue(), 303, 1), (b"%PDF-1.7 none", 422, 0)):
        answer = lan.phone().post(
            "/unknown", data=values, files={"photo": ("p.jpg", content, "image/jpeg")}
        )
        assert answer.status_code == status
        number = re.findall(r"\d+$|fault (\d+)", answer.headers.get("location", answer.text))[0]
        number = number or number_of(answer.headers["location"])
        assert lan.lead.get(f"/faults/{number}").text.count("<figure>") == pictures


def test_a_mistake_brings_the_form_back_and_names_nothing_that_is_here(lan: Lan) -> None:
    for item, text in (("CC-0", "x"), ("J.P.", "x"), ("K7M4XX", "x"), ("", "x"), ("CC-05", "")):
        answer = lan.phone().post("/unknown", data={"item": item, "text": text})
        assert answer.status_code in (404, 422)
        assert "Not kept yet" in answer.text
        assert not re.search(r"Near to it|CC-0[1-46-9]", answer.text)


def test_one_phone_leaves_few_and_the_words_come_back(
    lan: Lan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "ticks", lambda: 500.0)
    for number in range(limits.usual()["report"].each):
        left(lan, client_key=f"k{number}")

    answer = lan.phone().post("/unknown", data={"item": "CC-05", "text": "one too many"})

    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) == 600
    assert "one too many</textarea>" in answer.text
    other = lan.phone(address="192.168.10.9")
    assert other.post("/unknown", data={"item": "CC-05", "text": "y"}).status_code == 303


def test_a_lead_switches_it_off(lan: Lan) -> None:
    lan.lead.post("/access/strangers", data={"strangers": "nothing"})
    phone = lan.phone()

    assert "Leave it for the crew" not in phone.get("/CC-05").text
    assert phone.post("/unknown", data={"item": "CC-05", "text": "x"}).status_code == 403
    assert lan.lead.post("/access/strangers", data={"strangers": "all"}).status_code == 422


def test_the_code_that_was_scanned_stands_in_the_form(lan: Lan) -> None:
    code = re.findall(r'"/([0-9A-Z]{6})/log"', lan.lead.get("/CC-05").text)[0]

    assert f'value="{code}"' in lan.phone().get(f"/{code}").text
