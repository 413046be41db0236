"""From an item's code to the modules of its QR symbol.

The address keeps its scheme in lower case, since some phones don't open 'HTTP://', and the rest
in upper case, which packs into fewer bits. It's encoded as two explicit segments.
"""

import functools
import ipaddress
import re
from collections.abc import Sequence
from typing import Any, Literal

import numpy as np
from qrcode import constants
from qrcode.exceptions import DataOverflowError
from qrcode.main import QRCode
from qrcode.util import MODE_8BIT_BYTE, MODE_ALPHA_NUM, QRData

from kb.errors import InvalidError, Problem
from kb.gear import codes
from kb.labels import masks

Level = Literal["L", "M", "Q", "H"]
Matrix = tuple[tuple[bool, ...], ...]

# The alphanumeric set of ISO/IEC 18004, a character's value being its position.
ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
QUIET = 4  # light modules around the symbol, ISO/IEC 18004

# Version 1 has no alignment pattern and is lost when the camera is tilted.
LEAST_VERSION = 2
_LEVELS: dict[Level, int] = {
    "L": constants.ERROR_CORRECT_L,
    "M": constants.ERROR_CORRECT_M,
    "Q": constants.ERROR_CORRECT_Q,
    "H": constants.ERROR_CORRECT_H,
}
_HOST = re.compile(r"(?P<name>[A-Z0-9.-]{1,253})(?::(?P<port>[0-9]{1,5}))?", re.ASCII)
_NAME_PART = re.compile(r"[A-Z0-9]([A-Z0-9-]{0,61}[A-Z0-9])?")
_LAST_PORT = 65_535
_HTTP_PORT = 80


def address(host: str, code: str) -> str:
    """Return the address that a label's symbol holds.

    Args:
        host: Where the web pages are reached, 'kb.lan' or '192.168.1.20:8080'.
        code: The item's code.

    Raises:
        InvalidError: For a host that no phone could open, or a code that is none.
    """
    typed = host.strip()
    found = _HOST.fullmatch(typed.upper()) if typed.isascii() else None
    if not found or not all(_NAME_PART.fullmatch(part) for part in found["name"].split(".")):
        raise _refused(
            f"'{typed}' can't stand on a label. Give a name such as KB.LAN or an IPv4 address "
            "such as 192.168.1.20, with :PORT if needed, without http:// and without spaces."
        )
    _check_number(found["name"])
    port = int(found["port"] or _HTTP_PORT)
    if not 0 < port <= _LAST_PORT:
        raise _refused(f"port {port} does not exist. Give one from 1 to {_LAST_PORT}.")
    ending = "" if port == _HTTP_PORT else f":{port}"
    return f"http://{found['name']}{ending}/{codes.read(code)}"


@functools.lru_cache(maxsize=64)  # both ends of a cable, both faces of a flag
def modules(text: str, level: Level = "Q", least: int = LEAST_VERSION) -> Matrix:
    """Return the symbol's modules, row by row, dark ones true, without the quiet zone.

    The level is raised as far as the symbol doesn't grow.

    Args:
        text: What the symbol holds.
        level: The least error correction.
        least: The least version.

    Raises:
        InvalidError: When the text is longer than any symbol.
    """
    segments = _segments(text)
    version = _version(segments, level, least)
    if version is None:
        raise _refused("the address is too long for a QR symbol. Give a shorter host.")
    names = list(_LEVELS)
    for higher in names[names.index(level) + 1 :]:
        if _version(segments, higher, version) == version:
            level = higher
    first = np.array(_matrix(segments, version, level, 0))
    all_masks = first ^ _turned(version, level)
    return tuple(map(tuple, all_masks[masks.least(all_masks)].tolist()))


def _segments(text: str) -> list[QRData]:
    """Split off the longest alphanumeric ending; what stands before it goes as bytes."""
    tail = len(text)
    while tail and text[tail - 1] in ALPHANUMERIC:
        tail -= 1
    parts = ((text[:tail], MODE_8BIT_BYTE), (text[tail:], MODE_ALPHA_NUM))
    return [
        QRData(part, mode=mode)  # type: ignore[no-untyped-call] # untyped library
        for part, mode in parts
        if part
    ]


def _version(segments: Sequence[QRData], level: Level, least: int) -> int | None:
    """Return the smallest version, from the least one on, that holds the segments."""
    symbol = _symbol(segments, level)
    try:
        return int(symbol.best_fit(start=least))  # type: ignore[no-untyped-call] # untyped library
    except (DataOverflowError, ValueError):  # it tries version 41 before it gives up
        return None


@functools.cache
def _turned(version: int, level: Level) -> masks.Modules:
    """Return what each mask turns over against the first: the same whatever the symbol holds."""
    drawn = [_matrix(_segments("A"), version, level, mask) for mask in range(masks.COUNT)]
    turned: masks.Modules = np.array(drawn) ^ np.array(drawn[0])
    return turned


def _matrix(segments: Sequence[QRData], version: int, level: Level, mask: int) -> Matrix:
    """Return the modules with a mask forced."""
    symbol = _symbol(segments, level)
    symbol.version = version
    symbol.mask_pattern = mask
    symbol.make(fit=False)  # type: ignore[no-untyped-call] # untyped library
    return tuple(tuple(map(bool, row)) for row in symbol.modules)


def _symbol(segments: Sequence[QRData], level: Level) -> QRCode[Any]:
    symbol: QRCode[Any] = QRCode(error_correction=_LEVELS[level])
    for segment in segments:
        symbol.add_data(segment)  # type: ignore[no-untyped-call] # untyped library
    return symbol


def _check_number(name: str) -> None:
    """Refuse what looks like an IPv4 address and can't be opened as one."""
    if not name.rpartition(".")[2].isdigit():
        return
    try:
        number = ipaddress.IPv4Address(name)
    except ValueError:
        raise _refused(f"'{name}' is no IPv4 address. Give four numbers from 0 to 255.") from None
    if number.is_unspecified or number.is_multicast:
        raise _refused(f"no phone can open '{name}'. Give this machine's own address.")


def _refused(message: str) -> InvalidError:
    return InvalidError([Problem("host", message)])
