"""Every page, both sizes, both themes: nothing for axe to find, nothing that leaves the screen.

axe-core's rules follow WCAG 2.2; its enhanced contrast (7:1, WCAG 1.4.6) is switched on.
"""

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import DESK, PHONE, Screens, Served
from playwright.sync_api import Page

pytestmark = pytest.mark.slow

PAGES = (
    "/",
    "/?q=everything+looks+pink",
    "/?q=zzzz",
    "/CODE:CC-05",
    "/CODE:HD-19",
    "/CODE:RC-02",
    "/CODE:CC-05/log",
    "/CODE:HD-19/log",
    "/log",
    "/faults",
    "/faults/87",
    "/faults/6",
    "/faults/87/correct",
    "/faults/87/draft",
    "/faults/6/steps/replug/1",
    "/gear/new",
    "/CODE:CC-05/change",
    "/CODE:CC-05/swap",
    "/CODE:CC-05/history",
    "/entries",
    "/entries/display-colour-shift",
    "/entries/power-breaker-tripped",
    "/gear",
    "/gear/models",
    "/places",
    "/links",
    "/shows",
    "/loans",
    "/loans/1/change",
    "/services",
    "/services/new",
    "/links/1",
    "/links/swap",
    "/gear/models/Halvetta Tern 14",
    "/gear/models/Halvetta Tern 14/merge?into=Brelvane Coil 5",
    "/CODE:HD-19/label",
    "/people/M.O./forget",
    "/spares",
    "/people",
    "/review",
    "/health",
    "/screen",
    "/no-such-page",
)
WIDTHS = (320, 390, 1440, 3840)


def address(served: Served, path: str) -> str:
    head, _colon, rest = path.partition("/CODE:")
    name, _slash, after = rest.partition("/")
    where = f"/{served.code(name)}{'/' + after if after else ''}" if rest else head
    return served.address + where


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing(path: str, looked_at: Served, screens: Screens) -> None:
    there = address(looked_at, path)
    for size in (PHONE, DESK):
        for theme in ("dark", "light"):
            page = screens.open(looked_at, size, theme)
            page.goto(there)
            found = Axe().run(
                page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}}
            )

            assert found.violations_count == 0, f"{size} {theme}\n{found.generate_report()}"


@pytest.mark.parametrize("path", PAGES)
def test_nothing_leaves_the_screen_sideways(
    path: str, looked_at: Served, screens: Screens
) -> None:
    there = address(looked_at, path)
    page = screens.open(looked_at, PHONE)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        page.goto(there)

        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth"), width


@pytest.mark.parametrize("path", PAGES)
def test_what_is_pressed_is_large_enough(path: str, looked_at: Served, screens: Screens) -> None:
    page = screens.open(looked_at, PHONE)
    page.goto(address(looked_at, path))

    assert small_targets(page) == []


def small_targets(page: Page) -> list[str]:
    """Return what is pressed and is under 48 px high; links within a sentence are text."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll(
            "button, .press, input:not([type=hidden]), select, textarea, summary, .whole, nav a")]
          .filter(one => one.offsetParent && one.getBoundingClientRect().height < 47.5)
          .map(one => one.outerHTML.slice(0, 120))"""
    )
    return found
