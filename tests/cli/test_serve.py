"""The demo served as a process of its own: its address, its symbol, three things to try."""

import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

import pytest
from calls import called

pytestmark = pytest.mark.slow


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


@contextmanager
def running(folder: Path, port: int) -> Iterator[str]:
    """Run the demo and give what it prints until the third thing to try."""
    command = [sys.executable, "-m", "kb", "demo", str(folder), "--port", str(port)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        told = ""
        for line in process.stdout:
            told += line
            if "/review" in line:
                break
        try:
            yield told
        finally:
            process.terminate()


def test_the_demo_ends_by_serving_with_three_things_to_try(tmp_path: Path) -> None:
    folder, port = tmp_path / "studio", free_port()
    with running(folder, port) as told:
        addresses = re.findall(r"http://\S+", told)
        symbol = [line for line in told.splitlines() if set(line) <= set("█▀▄ ") and line]
        pages = [opened(address) for address in addresses]
        second = called("-w", folder, "serve", "--port", str(free_port()))
        taken = called("-w", folder, "serve", "--port", str(port))

    assert len(addresses) == 4
    assert "CC-05" in pages[1]
    assert "Wrong colours" in pages[2]
    assert "What keeps failing" in pages[3]
    assert len(symbol) >= 15
    assert second.code == 3
    assert "already" in second.err or "process" in second.err
    assert taken.code == 3
    assert str(port) in taken.err


def opened(address: str) -> str:
    """Return a page, asking again until the server has begun to listen."""
    until = time.monotonic() + 60
    while True:
        try:
            with urlopen(address, timeout=20) as page:  # noqa: S310 - our own
                return str(page.read().decode())
        except OSError:
            if time.monotonic() > until:
                raise
