"""A thing is added, its code shown at once, its label printed and read back."""

import re

import pypdfium2  # type: ignore[import-untyped]
import pytest
import zxingcpp
from fastapi.testclient import TestClient
from form_fields import fields

from kb.gear import codes

pytestmark = pytest.mark.slow


def symbols(pdf: bytes) -> list[str]:
    """Return what an independent reader (ZXing) finds on a PDF's pages at 300 dpi."""
    with pypdfium2.PdfDocument(pdf) as document:
        pictures = [page.render(scale=300 / 72).to_pil() for page in document]
    return [found.text for picture in pictures for found in zxingcpp.read_barcodes(picture)]


def test_the_code_of_a_new_thing_is_shown_at_once_and_its_label_opens_it(
    client: TestClient,
) -> None:
    typed = {"name": "CC-99", "model": "Tern 14", "place": "Office"}
    there = client.post("/gear/new", data=typed).headers["location"]
    page = client.get(there).text
    code = there.split("/")[1]
    assert codes.shown(code) in page
    assert "Print its label" in page

    pdf = client.get(f"{there}.pdf")
    assert pdf.headers["content-type"] == "application/pdf"
    read = symbols(pdf.content)
    assert len(read) == 1
    path = re.sub(r"^HTTP://[^/]+", "", read[0], flags=re.IGNORECASE)
    assert path == f"/{code}"
    assert "CC-99" in client.get(path).text


def test_a_cable_gets_a_flag_for_each_end_to_be_read_from_both_sides(
    looking: TestClient,
) -> None:
    page = looking.get("/HD-19/label").text
    assert "Two labels" in page
    code = re.search(r'action="/(\w{6})/label.pdf"', page)
    assert code

    read = symbols(looking.get("/HD-19/label.pdf").content)

    assert [one.rpartition("/")[2] for one in read] == [code[1]] * 4


@pytest.mark.parametrize("stock", ["a4-3x7-63x38"])
def test_every_stock_on_offer_prints(stock: str, looking: TestClient) -> None:
    offered = re.findall(r"<option[^>]*>([^<]+)</option>", looking.get("/CC-05/label").text)
    assert stock in offered
    for name in offered:
        answer = looking.get("/CC-05/label.pdf", params={"stock": name})
        assert answer.content.startswith(b"%PDF-"), name


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/ZZ-99/label", "No item"),
        ("/ZZ-99/label.pdf", "No item"),
        ("/CC-05/label.pdf?stock=clay", "No label stock"),
    ],
)
def test_what_can_not_be_printed_is_told(path: str, told: str, looking: TestClient) -> None:
    answer = looking.get(path)

    assert answer.status_code == 404
    assert told in answer.text


def test_another_like_it_needs_only_a_name(client: TestClient) -> None:
    first = {"name": "CC-98", "model": "Halvetta Tern 14", "place": "Office", "batch": "B 7"}
    there = client.post("/gear/new", data=first).headers["location"]
    another = re.search(r'href="(/gear/new\?[^"]+)"', client.get(there).text)
    assert another
    path = another[1].replace("&amp;", "&")
    typed = fields(client, path)
    assert typed["name"] == ""
    assert (typed["model"], typed["batch"]) == ("Halvetta Tern 14", "B 7")

    made = client.post("/gear/new", data=typed | {"name": "CC-97"})

    assert made.status_code == 303, made.text
    assert made.headers["location"] != there
    assert "Office" in client.get(made.headers["location"]).text


def test_models_and_places_are_suggested_while_typing(looking: TestClient) -> None:
    page = looking.get("/gear/new").text

    for name, one in (("model", "Halvetta Tern 14"), ("place", "Thrennow House/Rack room")):
        suggested = re.search(rf'<datalist id="l-{name}">(.*?)</datalist>', page, re.DOTALL)
        assert suggested
        assert f'<option value="{one}"' in suggested[1]
        assert f'list="l-{name}"' in page


@pytest.mark.parametrize(
    ("over", "told"),
    [
        ({"name": ""}, "Name: it is empty"),
        ({"name": "cc-05"}, "There is an item &#39;CC-05&#39;"),
        ({"model": "Tern 99"}, "No model"),
        ({"place": "attic"}, "No place"),
        ({"bought": "last year"}, "is no day"),
        ({"price": "much"}, "is no amount"),
        ({"name": "x" * 400}, "too many"),
    ],
)
def test_a_mistake_brings_the_form_back_with_what_was_typed(
    over: dict[str, str], told: str, client: TestClient
) -> None:
    answer = client.post("/gear/new", data={"name": "CC-96", "note": "a note", **over})

    assert answer.status_code in (404, 409, 422)
    assert told in answer.text
    assert ">a note</textarea>" in answer.text
    assert "l-place" in answer.text
