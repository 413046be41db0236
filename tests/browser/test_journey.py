"""From a scanned address to the review, in a real browser on a phone and on a desktop."""

import json

import pytest
from browser.conftest import DESK, PHONE, Screens, Served
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.slow
WORDS = "everything looks pink since power-up"


def failures_of(served: Served, model: str) -> int:
    rows = served.call("review", "models", "--json")["models"]
    return next(int(row["failures"]) for row in rows if row["model"] == model)


@pytest.mark.parametrize("how", ["with script", "without script"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_scan_log_fix_worked_closed_reviewed(
    size: dict[str, int],
    how: str,
    served: Served,
    screens: Screens,
) -> None:
    before = failures_of(served, "Halvetta Tern 14")
    page = screens.open(served, size, script=how == "with script")

    page.goto(f"{served.address}/{served.code('CC-05').lower()}")
    presses = log(page)
    assert presses <= 3
    number = page.url.rsplit("/", 1)[1]
    assert WORDS in page.inner_text("h1")

    choose_fitting(page)
    page.get_by_role("button", name="Worked", exact=True).first.click()
    expect(page.locator("main")).to_contain_text("watched")

    page.get_by_label("own failure").check()
    page.get_by_role("button", name="Close it").click()
    expect(page.locator("main")).to_contain_text("closed")

    page.goto(f"{served.address}/review")
    assert "Halvetta Tern 14" in page.inner_text("table")
    assert failures_of(served, "Halvetta Tern 14") == before + 1
    kept = served.call("fault", "see", number, "--json")
    assert kept["line"]["text"] == WORDS
    assert [one["outcome"] for one in kept["attempts"]] == ["worked"]


def log(page: Page) -> int:
    """Log a fault from an item's page; return how many presses that took."""
    page.get_by_role("link", name="Something is wrong").click()
    page.get_by_label("In your own words").fill(WORDS)
    page.get_by_role("button", name="Log it", exact=True).click()
    page.wait_for_url("**/faults/*")
    return 2


def choose_fitting(page: Page) -> None:
    page.get_by_role("link", name="Wrong colours after start-up").first.click()


def test_a_usual_symptom_is_logged_with_two_presses(served: Served, screens: Screens) -> None:
    page = screens.open(served, PHONE)
    page.goto(f"{served.address}/{served.code('CC-05')}")

    page.get_by_role("link", name="Something is wrong").click()
    page.get_by_role("button", name="Wrong colours after start-up").click()
    page.wait_for_url("**/faults/*")

    number = page.url.rsplit("/", 1)[1]
    kept = served.call("fault", "see", number, "--json")
    assert kept["line"]["entry"] == "display-colour-shift"


def test_the_journey_is_made_by_keyboard_alone(served: Served, screens: Screens) -> None:
    page = screens.open(served, DESK)
    page.goto(f"{served.address}/{served.code('CC-05')}")

    tab_to(page, "Something is wrong")
    page.keyboard.press("Enter")
    page.wait_for_url("**/log*")
    tab_to(page, "", "textarea")
    page.keyboard.type(WORDS)
    tab_to(page, "Log it")
    page.keyboard.press("Enter")
    page.wait_for_url("**/faults/*")
    tab_to(page, "Wrong colours after start-up")
    page.keyboard.press("Enter")
    page.wait_for_url("**entry=*")
    tab_to(page, "Worked")
    page.keyboard.press("Enter")

    expect(page.locator("main")).to_contain_text("watched")


def tab_to(page: Page, words: str, tag: str = "") -> None:
    """Press Tab until what has these words, or is of this kind, has the focus."""
    for _ in range(80):
        page.keyboard.press("Tab")
        focused = json.loads(
            page.evaluate(
                """() => JSON.stringify({tag: document.activeElement.tagName.toLowerCase(),
                   words: document.activeElement.innerText ||
                          document.activeElement.value || ''})"""
            )
        )
        if (tag and focused["tag"] == tag) or (words and focused["words"].startswith(words)):
            return
    pytest.fail(f"Tab never comes to {words or tag}")
