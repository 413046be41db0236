"""Entries on paper: read in the right order, nothing cut or overprinted, the symbol scanned."""

import io
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2  # type: ignore[import-untyped]
import pytest
import zxingcpp

from kb.entries import parse
from kb.errors import InvalidError
from kb.labels import paper, pdf
from kb.labels.font import DejaVuFace
from kb.labels.paper_text import Paper

SHIPPED = Path(__file__).parents[2] / "entries"
SLUGS = sorted(path.stem for path in SHIPPED.glob("*.md") if path.stem != "glossary")
HOST = "kb.lan:8017"
POINTS = 72 / 25.4


def a_paper(slug: str, status: str = "") -> Paper:
    entry = parse.entry_from((SHIPPED / f"{slug}.md").read_text(encoding="utf-8"))
    key = entry.fixes[0].key
    return Paper(entry, status, "revision 1 of 2026-03-19", {key: "tested here 7 of 8"}, ("Near",))


def printed(slugs: Sequence[str], face: DejaVuFace) -> bytes:
    return pdf.render(paper.lay_out([a_paper(slug) for slug in slugs], HOST, face))


def texts(document: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(document)) as opened:
        return [" ".join(page.extract_text().split()) for page in opened.pages]


@pytest.fixture(scope="module")
def breaker(face: DejaVuFace) -> bytes:
    return printed(["power-breaker-tripped"], face)


def test_danger_stands_on_top_then_the_fixes_in_order(breaker: bytes) -> None:
    text = " ".join(texts(breaker))
    entry = a_paper("power-breaker-tripped").entry
    order = [
        entry.title,
        "First acts",
        entry.first_acts.cautions[0][:40],
        entry.first_acts.steps[0],
        *(f"{number}. {fix.title}" for number, fix in enumerate(entry.fixes, 1)),
        "Afterwards",
    ]
    places = [text.index(" ".join(one.split())) for one in order]

    assert places == sorted(places)
    assert "tested here 7 of 8" in text
    for fix in entry.fixes:
        at = text.index(f". {fix.title}")
        for caution in fix.section.cautions:
            assert text.index(caution[:30], at) < text.index(fix.section.steps[0], at)


def test_the_symbol_opens_the_live_page(breaker: bytes) -> None:
    document = pypdfium2.PdfDocument(breaker)
    (found,) = zxingcpp.read_barcodes(document[0].render(scale=200 / 72).to_pil())
    document.close()

    assert found.text.lower() == f"http://{HOST}/entries/power-breaker-tripped"


def test_the_bytes_are_the_same_twice_and_the_paper_is_a4(
    breaker: bytes, face: DejaVuFace
) -> None:
    assert printed(["power-breaker-tripped"], face) == breaker
    with pdfplumber.open(io.BytesIO(breaker)) as opened:
        sizes = {
            (round(page.width / POINTS), round(page.height / POINTS)) for page in opened.pages
        }
    assert sizes == {(210, 297)}  # ISO 216


def overprinted(page: Any) -> list[str]:  # noqa: ANN401 - pdfplumber has no types
    """Return lines of a page that run into the one above them."""
    lines = sorted(page.extract_text_lines(), key=lambda line: line["top"])
    return [
        below["text"]
        for above, below in pairwise(lines)
        if below["top"] < above["bottom"] - 1.5
        and below["x0"] < above["x1"]
        and above["x0"] < below["x1"]
    ]


@pytest.mark.slow
def test_every_entry_fits_on_its_pages_and_starts_on_one_of_its_own(face: DejaVuFace) -> None:
    laid = paper.lay_out([a_paper(slug) for slug in SLUGS], HOST, face)
    heads = [number for number, page in enumerate(laid.pages) if page.symbols]

    assert len(heads) == len(SLUGS)
    assert max(b - a for a, b in pairwise([*heads, len(laid.pages)])) <= 3
    with pdfplumber.open(io.BytesIO(pdf.render(laid))) as opened:
        for page in opened.pages[::6]:
            left, right = min(c["x0"] for c in page.chars), max(c["x1"] for c in page.chars)
            low = max(c["bottom"] for c in page.chars)
            assert left >= 19 * POINTS
            assert right <= 196 * POINTS
            assert low <= 290 * POINTS
            assert overprinted(page) == []
            page.close()


def test_a_draft_says_so_and_nothing_to_print_is_said(face: DejaVuFace) -> None:
    told = "Draft: not accepted by this crew"
    laid = paper.lay_out([a_paper("audio-hum", told)], HOST, face)

    assert told in texts(pdf.render(laid))[0]
    with pytest.raises(InvalidError, match="there is none to print"):
        paper.lay_out([], HOST, face)
