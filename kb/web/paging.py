"""A long list, a page at a time: where one begins, and the addresses of those beside it."""

from collections.abc import Mapping
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query
from pydantic import AfterValidator

_FARTHEST = 10_000_000  # more than there is; no database counts without end

# `offset` in the address: how many lines come before the page. What's too small or too large is
# made to fit.
Start = Annotated[
    int, Query(alias="offset"), AfterValidator(lambda value: max(0, min(value, _FARTHEST)))
]


def beside(
    path: str, asked: Mapping[str, str], start: int, step: int, *, more: bool
) -> tuple[str, str]:
    """Return the addresses of the page before and of the one after; empty where there's none.

    Args:
        path: The list's.
        asked: What narrows the list, name to what was typed.
        start: How many lines come before this page.
        step: How many lines a page has.
        more: Whether any come after it.
    """
    before = _address(path, asked, max(0, start - step)) if start else ""
    return before, _address(path, asked, start + step) if more else ""


def _address(path: str, asked: Mapping[str, str], start: int) -> str:
    kept = {name: value for name, value in asked.items() if value}
    return f"{path}?{urlencode(kept | {'offset': str(start)})}"
