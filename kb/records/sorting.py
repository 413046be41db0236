"""The order in which names are listed: whatever their case, their numbers as numbers."""

import re

_DIGITS = re.compile("[0-9]+")
_LONGEST = 99  # of how many digits two numbers are told apart by their length


def by_number(name: str) -> str:
    """Return what a name is sorted by, so that 'tray 2' comes before 'tray 10'."""
    return _DIGITS.sub(_counted, name.casefold())


def by_path(path: str) -> list[tuple[str, str]]:
    """Return what a path like 'RR/tray 2' is sorted by: a place before what lies in it.

    Names that differ by zeros alone, like 'tray 1' and 'tray 01', stay apart.
    """
    return [(by_number(name), name.casefold()) for name in path.split("/")]


def _counted(number: re.Match[str]) -> str:
    """Return a number behind how many digits it has, without the zeros before it."""
    digits = number[0].lstrip("0")
    return f"{min(len(digits), _LONGEST):02}{digits}"
