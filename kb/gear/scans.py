"""What a handheld scanner typed: the code in it, whatever host stands before it.

A scanner sends keys as on an American keyboard, and a machine set to another one types other
characters. Only what ends in a code whose check character is right is taken for a scan.
"""

import re

from kb.errors import InvalidError
from kb.gear import codes

# What arrives instead of a character, where another one does: xkeyboard-config 2.35.1.
TYPED_ON = {
    "DE": str.maketrans("YZyz*/:-+", "ZYzy(-Öß\u00b4"),
    "FR": str.maketrans("0123456789$%*/:.-AQWZMaqwzm", "à&é\"'(-è_ç458!M:)QAZW?qazw,"),
}
_ADDRESS = re.compile(r"https?://[^/\s]+/+([^/\s]+)/*", re.IGNORECASE)
_INTENDED: list[dict[int, int]] = [
    {},
    *({typed: key for key, typed in table.items()} for table in TYPED_ON.values()),
]


def code_of_address(typed: str) -> str | None:
    """Return the code at the end of a label's address; None where it's no such address."""
    for table in _INTENDED:
        found = _ADDRESS.fullmatch(typed.strip().translate(table))
        if found:
            return _read(found[1])
    return None


def bare_code(typed: str) -> str | None:
    """Return the code that was typed or scanned alone; None where it's none."""
    for table in _INTENDED:
        code = _read(typed.strip().translate(table))
        if code is not None:
            return code
    return None


def _read(typed: str) -> str | None:
    try:
        return codes.read(typed)
    except InvalidError:
        return None
