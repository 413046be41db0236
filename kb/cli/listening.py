"""Where `serve` listens, and how: plain or with TLS, and a port that only leads on to it."""

import asyncio
import errno
import re
import socket
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kb.crew import hosts
from kb.crew.hosts import Reach
from kb.errors import BusyError, InvalidError, Problem, StorageError

LOOPBACK = "127.0.0.1"
_EVERYWHERE = "0.0.0.0"  # noqa: S104 - what --lan asks for
_HTTP_PORT, _HTTPS_PORT = 80, 443
_PORT = re.compile(r":(\d{1,5})$")
_HOST = re.compile(rb"[A-Za-z0-9.\-:\[\]]{1,300}")
_MOVED = 308


@dataclass(frozen=True)
class Tls:
    """A certificate and its key, files in PEM."""

    cert: Path
    key: Path


@dataclass(frozen=True)
class Served:
    """To whom the pages are served, and where.

    Attributes:
        reach: From where they are reached.
        port: Where they are.
        tls: The certificate; None for plain http.
    """

    reach: Reach
    port: int
    tls: Tls | None = None

    @property
    def host(self) -> str:
        """The address that is listened on."""
        return _EVERYWHERE if self.reach is Reach.NETWORK else LOOPBACK

    def address(self, name: str) -> str:
        """Return how an address begins, by a name of the machine."""
        usual = _HTTPS_PORT if self.tls else _HTTP_PORT
        port = "" if self.port == usual else f":{self.port}"
        return f"{'https' if self.tls else 'http'}://{name}{port}"


@dataclass(frozen=True)
class Door:
    """A port that is listened on; one that leads on has no pages of its own."""

    served: Served
    leads_on_from: int | None = None

    @property
    def port(self) -> int:
        """The port."""
        return self.leads_on_from or self.served.port


def tls(cert: Path | None, key: Path | None) -> Tls | None:
    """Return the certificate, once it is sure that it can be used; None where none is given.

    Raises:
        InvalidError: One of both is missing, or they are no pair.
        StorageError: One of both can't be read.
    """
    if cert is None and key is None:
        return None
    if cert is None or key is None:
        raise InvalidError([Problem("cert", "a certificate and its key go together. Give both.")])
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(cert, key)
    except ssl.SSLError as error:
        raise InvalidError(
            [Problem("cert", f"{cert} and {key} are no certificate and its key: {error.reason}.")]
        ) from None
    except OSError as error:
        raise StorageError(f"{error.filename or cert} can't be read: {error.strerror}.") from error
    return Tls(cert.resolve(), key.resolve())


def doors(labels: str, served: Served) -> tuple[Door, ...]:
    """Return what is listened on, all of it free: with TLS the labels' port leads on.

    Args:
        labels: The host on the labels, which say http.
        served: To whom, and where.

    Raises:
        BusyError: A port is taken, or not for us.
        InvalidError: With TLS the pages would be where the labels need plain http.
    """
    found = [Door(served)]
    if served.tls is not None:
        port = _PORT.search(labels)
        plain = int(port[1]) if port else _HTTP_PORT
        if plain == served.port:
            told = f"labels open {plain} by http. With TLS serve the pages at another, like 8443."
            raise InvalidError([Problem("port", told)])
        found.append(Door(served, plain))
    for door in found:
        _require_free(served.host, door.port)
    return tuple(found)


def serve(factory: str, opened: Sequence[Door]) -> None:
    """Serve until stopped.

    Args:
        factory: What makes the pages, as 'module:function'.
        opened: What is listened on.
    """
    import uvicorn

    servers = [uvicorn.Server(uvicorn.Config(**_config(factory, door))) for door in opened]

    async def all_of_them() -> None:
        await asyncio.gather(*(server.serve() for server in servers))

    asyncio.run(all_of_them())


def _config(factory: str, door: Door) -> dict[str, Any]:
    served, leads_on = door.served, door.leads_on_from is not None
    found: dict[str, Any] = {
        "app": _Onward(served) if leads_on else factory,
        "factory": not leads_on,
        "host": served.host,
        "port": door.port,
        "log_level": "critical",  # a defect is told in the workspace's log
        "server_header": False,
        # Only what a proxy on this machine says is believed, and only where one was announced.
        "proxy_headers": served.reach is Reach.PROXY,
        "forwarded_allow_ips": LOOPBACK,
        "lifespan": "off" if leads_on else "auto",
    }
    if served.tls is not None and not leads_on:
        found |= {"ssl_certfile": served.tls.cert, "ssl_keyfile": served.tls.key}
    return found


class _Onward:
    """Leads from what a label says to the same address over TLS."""

    def __init__(self, served: Served) -> None:
        self._served = served

    async def __call__(self, scope: Any, _receive: Any, send: Any) -> None:  # noqa: ANN401 - ASGI's
        """Answer with the address to go to."""
        given = next((value for name, value in scope["headers"] if name == b"host"), b"")
        name = hosts.name_of(given.decode("latin-1") if _HOST.fullmatch(given) else "")
        name = f"[{name}]" if ":" in name else name or hosts.lan_address()
        query = b"?" + scope["query_string"] if scope["query_string"] else b""
        there = self._served.address(name).encode() + scope["raw_path"].split(b"?")[0] + query
        headers = [(b"location", there), (b"content-length", b"0")]
        await send({"type": "http.response.start", "status": _MOVED, "headers": headers})
        await send({"type": "http.response.body", "body": b""})


def _require_free(host: str, port: int) -> None:
    with socket.socket() as asked:
        asked.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            asked.bind((host, port))
        except OSError as error:
            raise BusyError(_refusal(port, error)) from None


def _refusal(port: int, error: OSError) -> str:
    if error.errno in (errno.EACCES, errno.EPERM):
        return (
            f"Port {port} is the system's own: only its administrator may listen there. Name one "
            "above 1023 with --port, or let a service start it (--install)."
        )
    return (
        f"Port {port} of this machine is taken. Stop what listens there, or name another with "
        "--port."
    )
