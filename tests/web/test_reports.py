"""Scan, report, retry: nothing is lost and nothing doubled."""

import io
import json
import sqlite3
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient
from PIL import Image

pytestmark = pytest.mark.slow
Code = Callable[[str], str]
CHECKS = json.loads((Path(__file__).parents[1] / "reference" / "scanning.json").read_text())


def faults(folder: Path) -> list[tuple[str, str | None]]:
    with closing(sqlite3.connect(folder / "kitlore.db")) as base:
        return base.execute("SELECT text, client_key FROM fault ORDER BY id").fetchall()


@pytest.mark.parametrize("form", CHECKS["SCN-01"]["forms"])
def test_a_record_opens_from_each_form_of_its_address(
    form: str, looking: TestClient, code: Code
) -> None:
    """SCN-01: RFC 3986 6.2.2.1 folds scheme and host alone, so the server folds the path."""
    whole = code("CC-05")
    parts = {"code": whole, "lower": whole.lower(), "first": whole[:3], "last": whole[3:]}
    answer = looking.get(form.format(**parts))

    assert answer.status_code == 200
    assert "CC-05" in answer.text


@pytest.mark.parametrize("path", ["/", "/CODE", "/CODE/log", "/log", "/faults/6", "/scan"])
def test_no_page_asks_for_what_plain_http_forbids(
    path: str, looking: TestClient, code: Code
) -> None:
    """SCN-04: camera, barcode reader and service worker need a secure context (MDN)."""
    text = looking.get(path.replace("CODE", code("CC-05"))).text
    names = ("kitlore", "kept")
    script = "".join(looking.get(f"/static/{name}.js").text for name in names)

    for forbidden in CHECKS["SCN-04"]["forbidden"]:
        assert forbidden not in text + script


def test_a_press_on_a_usual_symptom_logs_it_with_its_entry(
    client: TestClient, folder: Path, code: Code
) -> None:
    there = f"/{code('CC-05')}/log"
    answer = client.post(there, data={"usual": "display-colour-shift", "text": "five only"})

    assert answer.status_code == 303
    page = client.get(answer.headers["location"]).text
    assert "Wrong colours after start-up" in page
    assert faults(folder)[-1][0].endswith("; five only")


def test_what_was_typed_comes_back_after_a_mistake(client: TestClient, code: Code) -> None:
    there = f"/{code('HD-19')}/log"
    answer = client.post(
        there, data={"text": "dots", "end": "B", "effect": "degraded", "minutes_lost": "many"}
    )

    assert answer.status_code == 422
    assert ">dots</textarea>" in answer.text
    assert 'value="B" id="end-3" checked' in answer.text
    assert "minutes lost" in answer.text


def test_a_retry_logs_nothing_twice(client: TestClient, folder: Path, code: Code) -> None:
    before = len(faults(folder))
    there, typed = f"/{code('AM-01')}/log", {"text": "it crackles", "client_key": "the press"}

    def pressed(_time: int) -> str:
        return str(client.post(there, data=typed).headers["location"])

    with ThreadPoolExecutor(4) as phones:
        led = set(phones.map(pressed, range(4)))

    assert len(led) == 1
    assert len(faults(folder)) == before + 1


def test_a_fault_without_a_label_is_logged_at_its_place(client: TestClient) -> None:
    answer = client.post("/log", data={"text": "burnt smell", "place": "Rack room/R1"})

    assert answer.status_code == 303
    assert "Rack room/R1" in client.get(answer.headers["location"]).text


def test_a_locked_base_is_no_success(folder: Path, client: TestClient, code: Code) -> None:
    before = faults(folder)
    with closing(sqlite3.connect(folder / "kitlore.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        answer = client.post(f"/{code('AM-01')}/log", data={"text": "hum"})
        other.execute("ROLLBACK")

    assert answer.status_code == 503
    assert "Somebody else is writing" in answer.text
    assert ">hum</textarea>" in answer.text
    assert faults(folder) == before


def test_a_photo_is_shown_without_where_it_was_taken(
    client: TestClient, folder: Path, code: Code
) -> None:
    picture = Image.new("RGB", (3000, 1500), "navy")
    exif = picture.getexif()
    exif[0x0112], exif[0x010F] = 6, "a maker"  # turned by 90 degrees; EXIF 2.3 tags
    file = io.BytesIO()
    picture.save(file, "JPEG", exif=exif)
    answer = client.post(
        f"/{code('CC-05')}/log",
        data={"text": "see the picture"},
        files={"photo": ("p.jpg", file.getvalue(), "image/jpeg")},
    )
    page = client.get(answer.headers["location"]).text
    address = page.partition('src="/photos/')[2].partition('"')[0]
    kept = client.get(f"/photos/{address}")

    assert kept.headers["content-type"] == "image/jpeg"
    with Image.open(io.BytesIO(kept.content)) as shown:
        assert shown.size == (1000, 2000)
        assert not shown.getexif()
    assert [one.name for one in (folder / "uploads").iterdir()] == [f"{address}.jpg"]


@pytest.mark.parametrize(
    "content", [b"#!/bin/sh\n", b"GIF89a" + bytes(20), b"\xff\xd8\xff" + bytes(9)]
)
def test_the_words_are_kept_where_the_photo_is_none(
    content: bytes, client: TestClient, folder: Path, code: Code
) -> None:
    answer = client.post(
        f"/{code('CC-05')}/log",
        data={"text": "the words"},
        files={"photo": ("p.jpg", content, "image/jpeg")},
    )

    assert answer.status_code == 422
    assert "photo:" in answer.text
    assert faults(folder)[-1][0] == "the words"
    assert list((folder / "uploads").iterdir()) == []


@pytest.mark.parametrize("digest", ["0" * 64, "..%2F..%2Fkitlore.toml", "kitlore.toml"])
def test_no_other_file_is_handed_out(digest: str, looking: TestClient) -> None:
    assert looking.get(f"/photos/{digest}").status_code == 404


def test_the_review_tells_what_was_just_closed(
    folder: Path, client: TestClient, code: Code
) -> None:
    number = client.post(f"/{code('GC-01')}/log", data={"text": "no picture"}).headers["location"]
    client.post(f"{number}/try", data={"what": "restarted", "outcome": "worked"})
    closed = client.post(f"{number}/close", data={"kind": "own failure"})

    assert closed.status_code == 303
    rows = called("-w", folder, "review", "models", "--json").json["models"]
    assert next(row for row in rows if row["model"] == "Halvetta Heron G2")["failures"] == 1
    assert "Halvetta Heron G2" in client.get("/review").text
