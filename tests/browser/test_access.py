"""Every page, both sizes, both themes: nothing for axe to find, nothing that leaves the screen.

axe-core's rules follow WCAG 2.2; its enhanced contrast (7:1, WCAG 1.4.6) is switched on.
"""

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import DESK, PHONE, Screens, Served
from fastapi.routing import APIRoute
from playwright.sync_api import Page
from starlette.routing import Match

from kb.web import app

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
    "/DR-04/speed",
    "/DR-04/speed/new",
    "/services",
    "/services/new",
    "/links/1",
    "/links/swap",
    "/gear/models/Halvetta Tern 14",
    "/gear/models/Halvetta Tern 14/merge?into=Brelvane Coil 5",
    "/CODE:HD-19/label",
    "/labels",
    "/labels?which=those+named&names=CC-05,Rack+room",
    "/labels/ahead",
    "/K7M4XV",
    "/people/M.O./forget",
    "/spares",
    "/people",
    "/review",
    "/review/buy?name=recorder",
    "/review/model?name=Granary 4",
    "/review/item?name=MK-02",
    "/review/drives",
    "/review/fixes",
    "/review/replace?name=RC-01&model=Granary 6",
    "/review/first",
    "/review/before?name=Tern 14&day=2026-03-19",
    "/health",
    "/screen",
    "/scan",
    "/access",
    "/audit",
    "/pair",
    "/unknown",
    "/unknown/kept?number=6",
    "/no-such-page",
)
# Forms: all of one template, so looked at once in each theme.
FORMS = (
    "/CODE:CC-05/lend",
    "/CODE:CC-05/merge",
    "/CODE:CC-05/move",
    "/CODE:CC-05/state",
    "/CODE:DR-04/speed/89",
    "/entries/display-colour-shift/edit",
    "/entries/display-colour-shift/revisions",
    "/entries/new",
    "/entries/thin",
    "/entries/wanted?words=prompter%20speed",
    "/faults/6/attempts/3",
    "/gear/models/Halvetta Tern 14/change",
    "/gear/models/new",
    "/links/1/change",
    "/links/1/disconnect",
    "/links/1/replace",
    "/links/new",
    "/loans/1/back",
    "/loans/new",
    "/people/M.O./change",
    "/people/M.O./merge",
    "/people/new",
    "/places/PLACE:Workshop and store",
    "/places/PLACE:Workshop and store/change",
    "/places/PLACE:Workshop and store/merge",
    "/places/PLACE:Workshop and store/retire",
    "/places/new",
    "/services/1/change",
    "/shows/1/cancel",
    "/shows/1/change",
    "/shows/new",
    "/spares/HDMI 2 to 3 m/change",
    "/spares/HDMI 2 to 3 m/remove",
    "/spares/new",
    "/words",
    "/words/1/remove",
    "/entries/glossary",
    "/CODE:CC-05/relabel",
    "/words/new?word=goose",
)
# What is no page: a part of one, a picture, a file, what a script asks for.
NO_PAGES = frozenset(
    {
        "/find",
        "/feed/{key}.ics",
        "/faults/{number}/version",
        "/photos/{digest}",
        "/review/models.svg",
        "/review/{kind}/paper.pdf",
        "/review/{kind}/{key}.svg",
        "/review/{kind}/{key}.csv",
        "/{code}/label.pdf",
        "/{code}/label.png",
        "/labels.pdf",
        "/labels.png",
        "/entries/glossary.md",
        "/entries/paper.pdf",
        "/entries/{slug}/paper.pdf",
    }
)
WIDTHS = (320, 390, 1440, 3840)
AXE = {"rules": {"color-contrast-enhanced": {"enabled": True}}}


def address(served: Served, path: str) -> str:
    for name in re.findall(r"CODE:([^/?]+)", path):
        path = path.replace(f"CODE:{name}", served.code(name))
    for name in re.findall(r"PLACE:([^/?]+)", path):
        places = served.call("place", "list", "--json")
        path = path.replace(
            f"PLACE:{name}", next(one["code"] for one in places if one["name"] == name)
        )
    return served.address + path


def routes() -> Iterator[APIRoute]:
    """Yield what a browser can ask for, the machine's own addresses left out."""
    for module in app.ROUTES:
        for route in module.router.routes:
            if isinstance(route, APIRoute) and _is_page(route):
                yield route


def _is_page(route: APIRoute) -> bool:
    return "GET" in (route.methods or ()) and not route.path.startswith("/api")


def route_of(path: str) -> str:
    scope = {"type": "http", "method": "GET", "path": path.partition("?")[0]}
    return next(one.path for one in routes() if one.matches(scope)[0] is Match.FULL)


def test_every_page_is_looked_at() -> None:
    known = {route_of(path) for path in (*PAGES, *FORMS)} | NO_PAGES | {"/{code}/"}

    assert {route.path for route in routes()} - known == set()


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing(path: str, looked_at: Served, screens: Screens) -> None:
    there = address(looked_at, path)
    for size in (PHONE, DESK):
        for theme in ("dark", "light"):
            page = screens.open(looked_at, size, theme)
            page.goto(there)
            found = Axe().run(page, options=AXE)

            assert found.violations_count == 0, f"{size} {theme}\n{found.generate_report()}"


@pytest.mark.parametrize("path", FORMS)
def test_axe_finds_nothing_in_a_form(path: str, looked_at: Served, screens: Screens) -> None:
    there = address(looked_at, path)
    for size, theme in ((PHONE, "dark"), (DESK, "light")):
        page = screens.open(looked_at, size, theme)
        answer = page.goto(there)
        found = Axe().run(page, options=AXE)

        assert answer is not None
        assert answer.ok, there
        assert found.violations_count == 0, f"{size} {theme}\n{found.generate_report()}"
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
        assert size is DESK or small_targets(page) == []


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
