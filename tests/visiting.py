"""Clients of the pages: who sits at the machine, and phones on the crew's network."""

from fastapi import FastAPI
from fastapi.testclient import TestClient

HERE = "127.0.0.1:8017"
LAN = "192.168.10.20:8017"


def at_the_machine(app: FastAPI, *, defects: bool = False) -> TestClient:
    """Return a client on the machine itself; redirects are not followed.

    Args:
        app: The pages.
        defects: Whether a defect is an answer, as it is for a browser.
    """
    return TestClient(
        app,
        f"http://{HERE}",
        follow_redirects=False,
        client=("127.0.0.1", 50_000),
        raise_server_exceptions=not defects,
    )


def on_the_network(app: FastAPI, address: str = "192.168.10.77") -> TestClient:
    """Return a phone on the crew's network, which reaches the machine by its address there."""
    return TestClient(app, f"http://{LAN}", follow_redirects=False, client=(address, 50_000))
