"""The review before buying on pages: verdicts, charts, tables, CSV, PDF."""

import csv
import io
from xml.etree import ElementTree as ET

import pdfplumber
import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def told(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("/review", 'href="/review/class/recorder"'),
        ("/review/class/cable", "Ossprell Ribbonet 3 is clearly worse than Yelkarn Stout 2"),
        ("/review/class/cable", "What would settle it:"),
        ("/review/class/recorder", "3 of the 17 failures seen on them were caused by another"),
        ("/review/class/recorder", "Not shown, mean elapsed time between failures"),
        ("/review/class/ups", "There is one model of its kind"),
        ("/review/drives", "Needed: 41.25 MB/s"),
        ("/review/hindsight/16", "11 reports of &#39;display-colour-shift&#39;"),
        ("/review/most?by=minutes", "Running share"),
        ("/review/never", "Morvaxa Silo 1T is clearly worse than"),
    ],
)
def test_a_page_says_what_was_found(looking: TestClient, path: str, sentence: str) -> None:
    assert sentence in told(looking.get(path).text)


@pytest.mark.parametrize(
    ("path", "word"),
    [
        ("/review/class/cable/rates.svg?plugs=HDMI", "Stout 3"),
        ("/review/class/cable/curve.svg?plugs=HDMI&theme=light", "share that outlasts it"),
        ("/review/class/recorder/curve.svg", "failures a unit has had"),
        ("/review/class/ups/curve.svg", "days since"),
        ("/review/drives/speed.svg", "DR-04"),
        ("/review/most.svg", "GBP a unit and year"),
        ("/review/most.svg?by=minutes", "Granary 4"),
    ],
)
def test_a_chart_is_a_picture_of_its_own(looking: TestClient, path: str, word: str) -> None:
    answer = looking.get(path)

    assert answer.headers["content-type"] == "image/svg+xml"
    text = "".join(ET.fromstring(answer.content).itertext())  # noqa: S314 - our own
    assert word in text
    assert looking.get(path).content == answer.content


def test_csv_holds_the_figures_of_the_table(looking: TestClient) -> None:
    answer = looking.get("/review/class/cable/table.csv")
    rows = {row["model"]: row for row in csv.DictReader(io.StringIO(answer.text))}

    thin = rows["Ossprell Ribbonet 3"]
    assert (thin["job"], thin["units"], thin["failures"]) == ("HDMI", "12", "7")
    assert float(thin["rate"]) == pytest.approx(7 / int(thin["unit_days"]) * 365.25)
    drives = list(csv.DictReader(io.StringIO(looking.get("/review/drives/table.csv").text)))
    assert len(drives) == 16


def test_the_report_prints_and_names_what_it_rests_on(looking: TestClient) -> None:
    answer = looking.get("/review/class/recorder/report.pdf")
    with pdfplumber.open(io.BytesIO(answer.content)) as file:
        text = told(" ".join(page.extract_text() for page in file.pages))

    assert answer.headers["content-type"] == "application/pdf"
    for part in ("Before you buy: recorder", "data version", "clearly worse", "unit-days"):
        assert part in text
    assert looking.get("/review/class/recorder/report.pdf").content == answer.content
