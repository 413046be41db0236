"""A press on one phone shows on a second within two seconds, also after the server restarts."""

import pytest
from browser.conftest import PHONE, Screens, Served
from playwright.sync_api import expect

pytestmark = pytest.mark.slow
TWO_SECONDS = 2_000


def test_a_press_shows_on_the_other_phone(served: Served, screens: Screens) -> None:
    words = ("log", "CC-05", "five is green", "--entry", "display-colour-shift", "--json")
    logged = served.call(*words)["fault"]
    there = f"{served.address}/faults/{logged}"
    mine, other = screens.open(served, PHONE), screens.open(served, PHONE)
    for page in (mine, other):
        page.goto(there)
        page.wait_for_load_state("networkidle" if page is mine else "load")

    mine.get_by_role("button", name="Did not work").first.click()
    expect(other.locator("main")).to_contain_text("did not work", timeout=TWO_SECONDS)

    served.stop()
    served.start()
    mine.reload()
    mine.get_by_role("button", name="Worked", exact=True).first.click()
    expect(other.locator("main")).to_contain_text("watched", timeout=TWO_SECONDS)
