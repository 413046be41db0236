"""The studio served for real, and Debian's Chromium before it."""

import json
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

CHROMIUM = shutil.which("chromium")
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}
_PATIENCE = 60.0


@dataclass
class Served:
    """A workspace that a real `kitlore serve` serves; it can be stopped and started again."""

    folder: Path
    port: int
    words: tuple[str, ...] = ()
    process: subprocess.Popen[bytes] | None = field(default=None)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        command = [sys.executable, "-m", "kb", "-w", str(self.folder), "serve"]
        self.process = subprocess.Popen(
            [*command, "--port", str(self.port), *self.words], stdout=subprocess.DEVNULL
        )
        until = time.monotonic() + _PATIENCE
        while True:
            try:
                urlopen(f"{self.address}/screen", timeout=5).close()  # noqa: S310 - our own
            except (URLError, OSError):
                if time.monotonic() > until or self.process.poll() is not None:
                    raise
                time.sleep(0.1)
            else:
                return

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(_PATIENCE)

    def code(self, name: str) -> str:
        found: str = self.call("item", "see", name, "--json")["line"]["code"]
        return found

    def call(self, *words: str) -> Any:  # noqa: ANN401 - whatever was printed
        """Run the command on this workspace, with the clock that the server has."""
        done = kitlore("-w", str(self.folder), *words)
        return json.loads(done)


def kitlore(*words: str) -> str:
    """Run the command as a process of its own, and return what it printed."""
    command = [sys.executable, "-m", "kb", *words]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("browser") / "studio"
    kitlore("demo", str(folder), "--no-serve")
    return folder


@pytest.fixture
def served(built: Path, tmp_path: Path) -> Iterator[Served]:
    """A studio of the test's own, to write in."""
    yield from _served(built, tmp_path)


@pytest.fixture(scope="session")
def looked_at(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A studio for tests that only look; its crew has a word of its own."""
    where = tmp_path_factory.mktemp("looked_at")
    for served in _served(built, where):
        kitlore("-w", str(served.folder), "word", "add", "goose", "clip-on microphone")
        yield served


def _served(built: Path, where: Path) -> Iterator[Served]:
    folder = where / "studio"
    shutil.copytree(built, folder)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    found = Served(folder, port)
    found.start()
    yield found
    found.stop()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("there is no Chromium on this machine")
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        yield browser
        browser.close()


@dataclass
class Screens:
    """Opens screens of a size and a theme."""

    browser: Browser
    opened: list[BrowserContext] = field(default_factory=list)

    def open(
        self, served: Served, size: dict[str, int], theme: str = "dark", *, script: bool = True
    ) -> Page:
        context = self.browser.new_context(
            viewport={"width": size["width"], "height": size["height"]},
            java_script_enabled=script,
        )
        context.add_cookies([{"name": "kitlore-theme", "value": theme, "url": served.address}])
        self.opened.append(context)
        return context.new_page()


@pytest.fixture
def screens(chromium: Browser) -> Iterator[Screens]:
    found = Screens(chromium)
    yield found
    for context in found.opened:
        context.close()
