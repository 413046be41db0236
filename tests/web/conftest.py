"""The invented studio behind the application, built once; a test that writes gets a copy."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient

from kb.records import workspace
from kb.web import app


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("web") / "studio"
    result = called("demo", folder, "--no-serve")
    assert result.code == 0, result.err
    return folder


@pytest.fixture(scope="session")
def looking(built: Path) -> Iterator[TestClient]:
    """A client for tests that only look; redirects are not followed."""
    with TestClient(app.create_app(workspace.opened(built)), follow_redirects=False) as client:
        yield client


@pytest.fixture
def folder(built: Path, tmp_path: Path) -> Path:
    """The test's own studio."""
    shutil.copytree(built, tmp_path / "studio")
    return tmp_path / "studio"


@pytest.fixture
def client(folder: Path) -> Iterator[TestClient]:
    """A client on the test's own studio; redirects are not followed."""
    with TestClient(app.create_app(workspace.opened(folder)), follow_redirects=False) as opened:
        yield opened


@pytest.fixture
def code(built: Path) -> Callable[[str], str]:
    """Return what finds an item's code by its name."""

    def found(name: str) -> str:
        told: str = called("-w", built, "item", "see", name, "--json").json["line"]["code"]
        return told

    return found
