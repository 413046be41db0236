"""By which names a request may call us."""

import pytest

from kb.crew import hosts

KNOWN = ("KB.lan:8017", "192.168.10.20")


@pytest.mark.parametrize(
    ("host", "name"),
    [
        ("KB.lan:8017", "kb.lan"),
        ("kb.lan.", "kb.lan"),
        ("[::1]:80", "::1"),
        ("[fe80::1]", "fe80::1"),
        ("a:b", ""),
        ("", ""),
        ("  ", ""),
    ],
)
def test_a_host_is_read_without_its_port(host: str, name: str) -> None:
    assert hosts.name_of(host) == name


@pytest.mark.parametrize(
    ("host", "ours"),
    [
        ("127.0.0.1:1", True),
        ("[::1]", True),
        ("kb.lan", True),
        ("kb.lan:99", True),
        ("192.168.10.20:8017", True),
        ("10.0.0.5:8017", True),  # the address of this machine that was reached
        ("10.0.0.6:8017", False),
        ("kb.lan.evil.test", False),
        ("evil.test", False),
        ("", False),
    ],
)
def test_who_is_called_is_us_or_not(host: str, ours: bool) -> None:  # noqa: FBT001 - of a table
    assert hosts.is_ours(host, "10.0.0.5", KNOWN) is ours


def test_what_phones_are_shown_is_never_the_loopback_where_there_is_a_network() -> None:
    assert hosts.shown_host("kb.lan:8017", 9000) == "kb.lan:8017"
    assert hosts.shown_host("127.0.0.1:8017", 9000) == f"{hosts.lan_address()}:9000"
