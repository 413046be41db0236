"""A page tells nobody to type a command: it links to what the command would list."""

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from kb.web import leading, pages

KB = Path(leading.__file__).parents[1]
# What no page does, so that only a command can mend it.
ONLY_THERE = {"settings log_began", "settings host", "access script", "stock offset"}


@pytest.mark.parametrize(
    ("message", "told"),
    [
        ("No item 'X'. See 'kitlore item list'.", 'See <a href="/gear">the list of things</a>.'),
        (
            "'kitlore model list' shows them.",
            '<a href="/gear/models">The list of models</a> shows',
        ),
        (
            "No link '9'. See 'kitlore link list CODE'.",
            'See <a href="/links">the list of links</a>',
        ),
        ("Say 'kitlore settings host=HOST'.", "Say &#39;kitlore settings host=HOST&#39;."),
        ("<b> & 'kitlore item list'", "&lt;b&gt; &amp; <a href"),
        ("", ""),
    ],
)
def test_a_command_that_lists_becomes_a_link(message: str, told: str) -> None:
    assert told in leading.linked(message)


def test_each_command_that_an_error_names_is_known_or_has_no_page() -> None:
    named = {
        found
        for path in KB.rglob("*.py")
        if not {"cli", "records", "labels", "demo"} & set(path.relative_to(KB).parts)
        for found in re.findall(r"'kitlore ([a-z]+ [a-z_]+)", path.read_text())
        if path.name != "leading.py"
    }

    assert named
    assert named - ONLY_THERE <= set(leading._LISTS)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("path", "link"),
    [
        ("/ABC", "/gear"),
        ("/faults/99999", "/faults"),
        ("/entries/none-such", "/entries"),
        ("/gear/models/none such", "/gear/models"),
        ("/labels?which=those+named&names=ABC", "/gear"),
    ],
)
def test_a_page_links_to_the_list(path: str, link: str, looking: TestClient) -> None:
    page = looking.get(path).text.partition("<main")[2].partition("</main>")[0]

    assert f'<a href="{link}">the list of ' in page
    assert not re.search(r"kitlore [a-z]+ list", page)


@pytest.mark.slow
def test_a_form_links_to_the_list_too(client: TestClient) -> None:
    page = client.post("/CC-05/swap", data={"spare": "ABC"}).text

    assert 'See <a href="/gear">the list of things</a>.' in page


@pytest.mark.slow
def test_a_label_misread_is_told_so_in_its_heading(looking: TestClient) -> None:
    answer = looking.get("/RP9KWX")

    assert answer.status_code == 422
    assert "<h1>That label can&#39;t be read so</h1>" in answer.text


@pytest.mark.parametrize(
    ("seconds", "told"),
    [
        (0, "0 s"),
        (30, "30 s"),
        (90, "1 min 30 s"),
        (3600, "1 h"),
        (6120, "1 h 42 min"),
        (3601, "1 h 1 s"),
    ],
)
def test_a_duration_is_told_as_in_the_terminal(seconds: int, told: str) -> None:
    assert pages.lasting(seconds) == told
