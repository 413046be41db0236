"""By which names a request may call us: any other is refused.

A page of somebody else can let its name lead to this machine and read what we answer; the name
in the request gives that away (DNS rebinding).
"""

import socket
from collections.abc import Iterable
from enum import StrEnum

# Tells the pages' process from where it is reached.
VARIABLE = "KITLORE_REACH"
LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})


class Reach(StrEnum):
    """From where a `serve` is reached."""

    HERE = "this machine"
    NETWORK = "the crew's network"
    PROXY = "a proxy on this machine"


def name_of(host: str) -> str:
    """Return the name or address in a Host header, without its port; empty where it's none."""
    host = host.strip().casefold()
    if host.startswith("["):
        return host[1:].partition("]")[0]
    name, _, port = host.partition(":")
    return name.removesuffix(".") if not port or port.isdigit() else ""


def machine_names() -> frozenset[str]:
    """Return the names that the machine gives itself."""
    own = socket.gethostname().casefold()
    return frozenset({own, f"{own}.local"} if own else ())


def is_ours(host: str, reached_at: str, known: Iterable[str]) -> bool:
    """Return whether a request that calls us so means us.

    Args:
        host: The Host header.
        reached_at: The address of this machine that the connection came to.
        known: Hosts that labels bear and the settings name, with ports or without.
    """
    name = name_of(host)
    if not name:
        return False
    return name in LOOPBACK or name == reached_at or name in {name_of(one) for one in known}


def shown_host(wanted: str, port: int) -> str:
    """Return the host and port by which phones reach this machine.

    Args:
        wanted: What the settings name; this machine's address where that is the loopback.
        port: Where it listens, where the settings name no better.
    """
    return f"{lan_address()}:{port}" if name_of(wanted) in LOOPBACK else wanted


def lan_address() -> str:
    """Return this machine's address on the crew's network; the loopback's where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            # Nothing is sent: the system only says by which way it would (192.0.2.1: RFC 5737).
            asked.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.1"
        found: str = asked.getsockname()[0]
        return found
