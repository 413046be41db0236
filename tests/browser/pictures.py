"""Take the README's pictures anew: from tests/, python -m browser.pictures ADDRESS of a demo."""

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

HERE = Path(__file__).parents[2] / ".readme"
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1100, "height": 760}


def main(address: str) -> None:
    """Take one picture a moment."""
    with sync_playwright() as player:
        browser = player.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        for name, path, size in (
            ("scan.png", "/CC-05", PHONE),
            ("find.png", "/?q=everything+looks+pink", PHONE),
            ("review.png", "/review", DESK),
        ):
            page = browser.new_page(viewport={"width": size["width"], "height": size["height"]})
            page.goto(address + path)
            page.screenshot(path=HERE / name)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1].rstrip("/"))
