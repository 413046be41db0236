"""Where `serve` listens: to whom, plain or with TLS, and what it says where it can't."""

import http.client
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from calls import called

from kb.crew import hosts

pytestmark = pytest.mark.slow


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    assert called("init", folder, "--zone", "UTC").code == 0
    return folder


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    """A certificate that signs itself, and its key; OpenSSL made them."""
    cert, key = tmp_path / "cert.pem", tmp_path / "key.pem"
    command = [
        "openssl",
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "2",
        "-subj",
        "/CN=localhost",
    ]
    subprocess.run([*command, "-keyout", key, "-out", cert], check=True, capture_output=True)
    return cert, key


@contextmanager
def running(studio: Path, *words: object) -> Iterator[str]:
    """Serve in a process of its own, and give what it said once it does."""
    command = [sys.executable, "-m", "kb", "-w", str(studio), "serve", *map(str, words)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        told = process.stdout.readline()
        if "--lan" in words:
            told += "".join(process.stdout.readline() for _line in range(3))
        try:
            yield told
        finally:
            process.terminate()
            assert process.wait(30) in (0, -15)


def asked(
    address: str, port: int, path: str, context: ssl.SSLContext | None = None
) -> tuple[int, str | None]:
    """Return status and location, asking again until the server has begun to listen."""
    until = time.monotonic() + 60
    while True:
        opened: http.client.HTTPConnection = (
            http.client.HTTPSConnection(address, port, context=context, timeout=20)
            if context
            else http.client.HTTPConnection(address, port, timeout=20)
        )
        try:
            with closing(opened):
                opened.request("GET", path)
                answer = opened.getresponse()
                answer.read()
                return answer.status, answer.getheader("location")
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def test_the_network_is_served_only_where_somebody_leads(studio: Path) -> None:
    for one in called("-w", studio, "person", "list", "--json").json:
        assert called("-w", studio, "person", "change", one["name"], "--role", "tech").code == 0
    for words in (("--lan", "--install"), ("--proxy", "--install")):
        refused = called("-w", studio, "serve", *words)
        assert refused.code == 2
        assert "person add NAME --role lead" in refused.err.replace("\n", " ")


def test_on_the_network_phones_are_asked_who_they_are(studio: Path) -> None:
    called("-w", studio, "person", "add", "M.O.", "--role", "lead")
    port, here = free_port(), hosts.lan_address()
    with running(studio, "--lan", "--port", port) as told:
        assert asked("127.0.0.1", port, "/access")[0] == 200
        if here != "127.0.0.1":
            assert asked(here, port, "/access")[0] == 403
    assert f"http://{here}:{port}/ for phones" in told
    assert "access pair NAME" in told
    assert f"settings host={here}:{port}" in told.replace("\n", " ").replace("  ", " ")


def test_without_it_nobody_else_reaches_the_pages(studio: Path) -> None:
    port, here = free_port(), hosts.lan_address()
    if here == "127.0.0.1":
        pytest.skip("this machine has no network")
    with running(studio, "--port", port):
        assert asked("127.0.0.1", port, "/access")[0] == 200
        with pytest.raises(OSError, match="refused"), socket.create_connection((here, port), 5):
            pytest.fail("it listens there")


def test_with_tls_the_port_of_the_labels_leads_on(studio: Path, pair: tuple[Path, Path]) -> None:
    cert, key = pair
    labels, port = free_port(), free_port()
    called("-w", studio, "settings", f"host=127.0.0.1:{labels}")
    trusted = ssl.create_default_context(cafile=str(cert))
    with running(studio, "--port", port, "--cert", cert, "--key", key) as told:
        status, _location = asked("localhost", port, "/gear", trusted)
        onward = asked("127.0.0.1", labels, "/K7M4XV?a=b")
    assert status == 200
    assert onward == (308, f"https://127.0.0.1:{port}/K7M4XV?a=b")
    assert f"https://127.0.0.1:{port}/" in told


def test_what_is_no_certificate_is_told(studio: Path, pair: tuple[Path, Path]) -> None:
    cert, key = pair
    for words, told in (
        (("--cert", cert), "Give both"),
        (("--cert", cert, "--key", cert), "no certificate and its key"),
        (("--cert", studio / "none.pem", "--key", key), "can't be read"),
        (("--cert", cert, "--key", key, "--port", 8017), "With TLS"),
    ):
        refused = called("-w", studio, "serve", *words)
        assert refused.code in (2, 3)
        assert told in refused.err.replace("\n", " ")


def test_a_port_that_is_taken_is_told(studio: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        refused = called("-w", studio, "serve", "--port", other.getsockname()[1])
    assert refused.code == 3
    assert "is taken" in refused.err


def test_behind_a_proxy_only_the_proxy_listens(studio: Path) -> None:
    refused = called("-w", studio, "serve", "--lan", "--proxy")

    assert refused.code == 2
    assert "only the proxy" in refused.err.replace("\n", " ")


def test_a_service_file_is_written_and_how_to_use_it_told(studio: Path, tmp_path: Path) -> None:
    called("-w", studio, "person", "add", "M.O.", "--role", "lead")
    odd = studio.rename(tmp_path / "the 100% studio")
    done = called("-w", odd, "serve", "--lan", "--port", "8018", "--install")
    file = odd / "kitlore.service"
    text = file.read_text()

    assert done.code == 0, done.err
    assert "systemctl enable --now kitlore.service" in done.out
    assert 'the 100%% studio" serve --lan --port 8018' in text
    for line in ("Restart=always", "WantedBy=multi-user.target", "NoNewPrivileges=true"):
        assert line in text.splitlines()


def test_systemd_takes_the_service_file(studio: Path) -> None:
    """systemd-analyze is the outside reference for its form."""
    called("-w", studio, "serve", "--install")
    try:
        verified = subprocess.run(
            ["systemd-analyze", "verify", studio / "kitlore.service"],  # noqa: S607 - Debian's
            check=False,
            capture_output=True,
            text=True,
        )
    except FileNotFoundError:
        pytest.skip("there is no systemd on this machine")
    assert "kitlore.service:" not in verified.stderr
