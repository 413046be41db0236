"""A whole entry that breaks no rule, and what finds its way in it."""

from collections.abc import Callable
from pathlib import Path

import pytest

SAMPLE = (Path(__file__).parent / "sample.md").read_text(encoding="utf-8")


@pytest.fixture
def sample() -> str:
    """Return the text of an entry that breaks no rule."""
    return SAMPLE


@pytest.fixture
def edited() -> Callable[[str, str], str]:
    """Return what edits the sample: the only place of the old text becomes the new one."""

    def edit(old: str, new: str) -> str:
        assert SAMPLE.count(old) == 1, old
        return SAMPLE.replace(old, new)

    return edit


@pytest.fixture
def line_of() -> Callable[[str, str], int]:
    """Return what tells the line of a text on which a part of it begins."""

    def line(text: str, part: str) -> int:
        return text[: text.index(part)].count("\n") + 1

    return line
