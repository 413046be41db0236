"""A long list is cut into pages, and each leads to those beside it."""

import re

import pytest
from fastapi.testclient import TestClient

from kb.web import paging


@pytest.mark.parametrize(
    ("start", "left", "before", "after"),
    [
        (0, 0, "", ""),
        (0, 3, "", "/faults?text=no+sound&offset=50"),
        (50, 1, "/faults?text=no+sound&offset=0", "/faults?text=no+sound&offset=100"),
        (20, 0, "/faults?text=no+sound&offset=0", ""),
    ],
)
def test_the_addresses_beside_a_page_keep_what_narrows_the_list(
    start: int, left: int, before: str, after: str
) -> None:
    asked = {"text": "no sound", "state": ""}
    assert paging.beside("/faults", asked, start, 50, more=left > 0) == (before, after)


@pytest.mark.slow
@pytest.mark.parametrize(
    "path", ["/gear", "/faults", "/links", "/loans", "/shows", "/shows?when=past", "/audit"]
)
def test_every_list_takes_any_beginning(path: str, looking: TestClient) -> None:
    joined = "&" if "?" in path else "?"
    first = looking.get(path).text
    assert looking.get(f"{path}{joined}offset=-5").text == first
    far = looking.get(f"{path}{joined}offset={10**30}")
    assert far.status_code == 200
    assert not re.search(r"<tbody>\s*<tr>", far.text)
    after = re.search(r'href="([^"]+)">More</a>', first)
    if after:
        second = looking.get(after[1].replace("&amp;", "&")).text
        assert 'offset=0">Earlier ones' in second
