"""A label is opened by what a scanner types, by fingers, or out of a photo.

KBD: what arrives after xkeyboard-config 2.35.1, layouts us, de and fr (levels 1 and 2).
"""

import io
from collections.abc import Callable
from typing import Any

import pytest
from fastapi.testclient import TestClient
from PIL import Image
from qrcode.main import QRCode

pytestmark = pytest.mark.slow
Code = Callable[[str], str]


@pytest.mark.parametrize("form", ["{}", "http://kb.lan/{}", "HTTP://OLD-HOST:80/{}/", " {} "])
def test_what_was_typed_opens_its_page_by_whatever_host(
    form: str, looking: TestClient, code: Code
) -> None:
    answer = looking.get("/scan", params={"code": form.format(code("CC-05"))})

    assert answer.headers["location"] == f"/{code('CC-05')}"


def test_a_name_opens_its_page_and_words_are_searched(looking: TestClient, code: Code) -> None:
    named = looking.get("/scan", params={"code": "cc-05"})
    words = looking.get("/scan", params={"code": "everything looks pink"})

    assert named.headers["location"] == f"/{code('CC-05')}"
    assert words.headers["location"] == "/?q=everything+looks+pink"


@pytest.mark.parametrize(
    ("typed", "status", "told"),
    [("CC-99", 404, "No item &#39;CC-99&#39;."), ("RP9 KWX", 422, "")],
)
def test_no_such_name_or_code_is_said_and_can_be_searched(
    typed: str, status: int, told: str, looking: TestClient
) -> None:
    answer = looking.get("/scan", params={"code": typed})

    assert answer.status_code == status
    assert told in answer.text
    assert 'role="alert"' in answer.text
    assert "Search for these words" in answer.text


def test_a_spelling_and_a_place_open_their_pages(looking: TestClient, code: Code) -> None:
    spelled = looking.get("/scan", params={"code": "cc05"})
    place = looking.get("/scan", params={"code": "rack room"})

    assert spelled.headers["location"] == f"/{code('CC-05')}"
    assert place.headers["location"].startswith("/places/")


def photo(*texts: str) -> bytes:
    """Return a photo of labels side by side, a little askew."""
    made = [_symbol(text) for text in texts]
    wide = Image.new("RGB", (sum(one.width for one in made), max(one.height for one in made)))
    left = 0
    for one in made:
        wide.paste(one, (left, 0))
        left += one.width
    file = io.BytesIO()
    wide.rotate(5, expand=True, fillcolor=(120, 110, 100)).save(file, "JPEG", quality=70)
    return file.getvalue()


def test_a_photo_of_a_label_opens_its_page(looking: TestClient, code: Code) -> None:
    content = photo(f"http://KB.LAN/{code('CC-05')}")
    answer = looking.post("/scan", files={"photo": ("p.jpg", content, "image/jpeg")})

    assert (answer.status_code, answer.headers["location"]) == (303, f"/{code('CC-05')}")


def test_of_several_labels_one_is_chosen(looking: TestClient, code: Code) -> None:
    texts = [f"http://KB.LAN/{code(name)}" for name in ("CC-05", "CC-06")]
    answer = looking.post("/scan", files={"photo": ("p.jpg", photo(*texts), "image/jpeg")})

    assert answer.status_code == 200
    for name in ("CC-05", "CC-06"):
        assert f'href="/{code(name)}"' in answer.text


def _symbol(text: str) -> Image.Image:
    """Return a label's symbol; another library made it than reads it."""
    made: Any = QRCode(box_size=8)
    made.add_data(text)
    made.make()
    picture: Image.Image = made.make_image().get_image().convert("RGB")
    return picture


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no label can be read"),
        (photo("http://elsewhere.test/"), "no label can be read"),
        (photo("javascript:alert(1)"), "no label can be read"),
        (b"no picture", "it is no JPEG"),
    ],
)
def test_what_holds_no_label_is_told(content: bytes, told: str, looking: TestClient) -> None:
    answer = looking.post("/scan", files={"photo": ("p.jpg", content, "image/jpeg")})

    assert answer.status_code == 422
    assert told in answer.text
