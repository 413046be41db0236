"""The exported file opens from a stick, searches, and leaves the machine alone."""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import PHONE, kitlore
from playwright.sync_api import Browser, expect

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def file(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("stick") / "kitlore.html"
    kitlore("-w", str(built), "export", str(made))
    return made


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("everything looks pink", "Wrong colours after start-up"),
        ("evrything loks pnk", "Wrong colours after start-up"),
    ],
)
def test_a_search_in_it_leads_to_the_entry(
    typed: str, first: str, file: Path, chromium: Browser
) -> None:
    context = chromium.new_context(viewport={"width": 390, "height": 844}, offline=True)
    page = context.new_page()
    troubles: list[str] = []
    page.on("console", lambda one: troubles.append(one.text))
    page.on("request", lambda one: troubles.append(one.url))
    page.goto(file.as_uri())
    page.get_by_label("What do you see or hear?").fill(typed)

    expect(page.locator("#entries details:visible summary").first).to_contain_text(first)
    page.locator("#entries details:visible summary").first.click()
    expect(page.locator("#entries details[open] ol").first).to_be_visible()
    assert troubles == [file.as_uri()]
    context.close()


def test_axe_finds_nothing_in_it(file: Path, chromium: Browser) -> None:
    for scheme in ("dark", "light"):
        context = chromium.new_context(
            viewport={"width": PHONE["width"], "height": PHONE["height"]},
            color_scheme="dark" if scheme == "dark" else "light",
            bypass_csp=True,  # axe is a script that the file doesn't know
        )
        page = context.new_page()
        page.goto(file.as_uri())
        found = Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})

        assert found.violations_count == 0, found.generate_report()
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
        context.close()


def test_without_script_all_of_it_is_there_to_read(file: Path, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(file.as_uri())

    assert page.locator("#entries details").count() > 50
    assert page.locator("tbody tr").count() > 100
    context.close()
