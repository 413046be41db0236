"""What the tests of search share: a folder for the indexes, and documents quickly made."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.search.documents import Document, Kind

Make = Callable[..., Document]


@pytest.fixture(autouse=True)
def _disk_that_lies(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for no disk: a power cut is not tried here."""
    monkeypatch.setattr(os, "fsync", lambda _: None)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "index"


@pytest.fixture
def make() -> Make:
    def made(kind: Kind, key: str, title: str, area: str = "", **parts: str) -> Document:
        exact = (key, parts.get("item", "")) if kind == "item" else (key,)
        stored = {"area": area} if area else {}
        return Document(kind, key, title, {"title": title, **parts}, exact, dict(stored))

    return made
