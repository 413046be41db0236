"""The file to carry: opened from a disk, searched with slips, nothing asked of any network."""

from pathlib import Path

import pytest
from browser.conftest import PHONE, Screens, Served, kitlore

pytestmark = pytest.mark.slow


def test_the_carried_file_finds_the_fix_without_a_machine(
    looked_at: Served, screens: Screens, tmp_path: Path
) -> None:
    file = tmp_path / "carry.html"
    kitlore("-w", str(looked_at.folder), "export", str(file))
    page = screens.open(looked_at, PHONE)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())

    page.get_by_label("What do you see or hear?").fill("evrything looks pink")
    first = page.locator("#entries details:visible").first
    assert "Wrong colours after start-up" in first.inner_text()
    first.locator("summary").first.click()
    assert "Pull the video lead out of the computer." in first.inner_text()

    page.get_by_label("What do you see or hear?").fill("CC-05")
    assert page.locator("#gear tbody tr:visible").count() == 1
    assert [url for url in asked if not url.startswith("file:")] == []
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
