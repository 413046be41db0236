"""Small pages, painted dark at once, whole without script."""

import io
from urllib.request import urlopen

import pytest
from browser.conftest import DESK, PHONE, Screens, Served
from PIL import Image
from playwright.sync_api import Route

pytestmark = pytest.mark.slow
MOST = 60_000
DARK = 48


def test_no_item_page_is_over_sixty_kilobytes(looked_at: Served) -> None:
    for name in ("CC-05", "AM-01", "VS-01", "RC-02", "HD-07", "DR-01"):
        address = f"{looked_at.address}/{looked_at.code(name)}"
        sizes = [
            len(urlopen(f"{looked_at.address}{path}").read())  # noqa: S310 - our own
            for path in ("/static/kitlore.css", "/static/kitlore.js")
        ]
        page = len(urlopen(address).read())  # noqa: S310 - our own

        assert page + sum(sizes) <= MOST, name


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_page_is_dark_before_its_stylesheet_has_come(
    size: dict[str, int], looked_at: Served, screens: Screens
) -> None:
    page = screens.open(looked_at, size)

    def held(route: Route) -> None:
        route.abort()

    page.route("**/*.css*", held)
    page.goto(looked_at.address)
    shot = Image.open(io.BytesIO(page.screenshot())).convert("L")

    corner = shot.crop((size["width"] - 2, size["height"] - 2, size["width"], size["height"]))
    assert max(corner.tobytes()) <= DARK


def test_nothing_comes_from_elsewhere(looked_at: Served, screens: Screens) -> None:
    page = screens.open(looked_at, DESK)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    for path in ("/", "/review", "/?q=pink"):
        page.goto(looked_at.address + path)

    assert asked
    assert all(one.startswith((looked_at.address, "data:", "blob:")) for one in asked)
