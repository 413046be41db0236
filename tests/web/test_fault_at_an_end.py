"""Every fix of the entry was tried and none helped: the page says what comes next."""

import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow
COLOUR = "display-colour-shift"


@pytest.fixture
def failing(client: TestClient) -> Callable[[int], str]:
    """Return what logs a fault, tries all its fixes but some in vain, and returns its page."""

    def page(but: int) -> str:
        typed = {"text": "five is greenish", "entry": COLOUR}
        there = client.post("/CC-05/log", data=typed).headers["location"]
        keys = re.findall(r'name="fix" value="([a-z0-9-]+)"', client.get(there).text)
        for key in keys[: len(keys) - but]:
            ended = {"entry": COLOUR, "fix": key, "outcome": "did not work"}
            assert client.post(f"{there}/try", data=ended).status_code == 303
        return str(client.get(there).text)

    return page


def test_while_a_fix_is_left_that_one_is_the_next_step(failing: Callable[[int], str]) -> None:
    page = failing(1)

    assert "Nothing of this helped" not in page
    assert '<details id="others">' in page
    assert "<h2>Tried</h2>" in page


def test_the_next_likely_stands_on_top_and_what_was_tried_is_folded(
    failing: Callable[[int], str],
) -> None:
    page = failing(0)

    top = page.partition('id="at-an-end"')[2].partition("</section>")[0]
    assert re.search(r'href="/faults/\d+\?entry=[a-z-]+">Next likely: ', top)
    assert page.index("Nothing of this helped") < page.index("<dt>Seen</dt>")
    assert '<details id="others" open>' in page
    assert '<details id="tried">' in page
    assert '<details class="card" id="no-help">' in page


@pytest.mark.usefixtures("before_air")
def test_near_air_the_spare_and_who_to_call_come_first(failing: Callable[[int], str]) -> None:
    top = failing(0).partition('id="at-an-end"')[2].partition("</section>")[0]

    assert "40 min to air. Go round it now" in top
    assert re.search(r'href="#swap">Put CC-\d\d in its place', top)
    assert re.search(r"<li>Call: [^<]+</li>", top)
    assert top.index("#swap") < top.index("Next likely")


@pytest.mark.usefixtures("before_air")
def test_the_swap_is_open_then(failing: Callable[[int], str]) -> None:
    page = failing(0)

    assert '<details id="swap" open>' in page
