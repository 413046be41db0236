"""The parts, all on one page that no workspace is needed for, in both themes."""

from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import DESK, PHONE
from browser.test_access import small_targets
from playwright.sync_api import Browser, Route

from kb.entries.model import Section
from kb.records.kinds import EntryStatus, FaultState, ItemState
from kb.review import charts
from kb.review.paper import Chart, Interval
from kb.web import app, pages
from kb.web.visitors import HERE

pytestmark = pytest.mark.slow
HOST = "http://parts.test"


@dataclass(frozen=True)
class Parts:
    """What the page shows."""

    states: tuple[str, ...]
    section: Section


def html(theme: str) -> str:
    section = Section(
        cautions=("Mains inside: local rules decide who may open it.",),
        steps=("Pull the *USB* plug.", "Count to five.", "Push it in again."),
        see="the start picture within ten seconds.",
        stop="it smells.",
    )
    states = tuple(str(word) for kind in (ItemState, FaultState, EntryStatus) for word in kind)
    template = Path(__file__).with_name("parts.html").read_text(encoding="utf-8")
    frame = pages.Frame("/parts", theme, "M.O.", HERE, "", "2026-10-31 18:20", "")
    made = pages.environment(ZoneInfo("UTC")).from_string(template)
    return made.render(page=Parts(states, section), frame=frame)


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("theme", ["dark", "light"])
def test_the_parts_hold_in_both_themes(
    theme: str, size: dict[str, int], chromium: Browser, tmp_path: Path
) -> None:
    context = chromium.new_context(viewport={"width": size["width"], "height": size["height"]})
    page = context.new_page()
    interval = Interval("Granary 4", 2.19, 1.30, 3.49)
    colours = charts.LIGHT if theme == "light" else charts.DARK

    def answer(route: Route) -> None:
        path = route.request.url.removeprefix(HOST).partition("?")[0]
        if path == "/parts":
            route.fulfill(body=html(theme), content_type="text/html; charset=utf-8")
        elif path == "/chart.svg":
            picture = charts.drawn(
                Chart("failures per unit and year", intervals=(interval,)), colours
            )
            route.fulfill(body=picture, content_type="image/svg+xml")
        else:
            route.fulfill(path=app.STATIC / path.removeprefix("/static/"))

    page.route(f"{HOST}/**", answer)
    page.goto(f"{HOST}/parts")
    page.screenshot(path=tmp_path / f"{theme}.png", full_page=True)
    found = Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})

    assert found.violations_count == 0, found.generate_report()
    assert small_targets(page) == []
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    assert page.evaluate("document.querySelector('figure img').naturalWidth") > 0
    context.close()
