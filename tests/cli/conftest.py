"""A real workspace, made once and copied for each test, and the command run on it."""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from calls import Refused, Run, called

from kb.records import workspace


@pytest.fixture(scope="session")
def starter(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with some of the entries that are shipped; all of them take longer."""
    folder = tmp_path_factory.mktemp("starter")
    for slug in (*ENTRIES, "glossary"):
        shutil.copy(workspace.starter("entries") / f"{slug}.md", folder)
    return folder


@pytest.fixture(autouse=True)
def _small_starter(starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _ship(starter, monkeypatch)


def _ship(starter: Path, patch: pytest.MonkeyPatch) -> None:
    """Let these entries be those that are shipped."""
    shipped = workspace.starter
    patch.setattr(
        workspace, "starter", lambda name: starter if name == "entries" else shipped(name)
    )


@pytest.fixture(scope="session")
def made(starter: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a workspace with some gear and one fault."""
    folder = tmp_path_factory.mktemp("made") / "studio"
    begun = ("init", folder, "--zone", "Europe/London", "--log-began", "2026-01-01")
    with pytest.MonkeyPatch.context() as patch:
        _ship(starter, patch)
        patch.setenv("LOGNAME", "jp")
        patch.setenv("HOME", str(folder.parent))
        assert called(*begun).code == 0
        for line in GEAR:
            result = called("-w", folder, *line)
            assert result.code == 0, result.err
    return folder


ENTRIES = (
    "audio-clipping",
    "audio-hum",
    "audio-phase",
    "cable-intermittent",
    "camera-white-balance",
    "display-colour-shift",
    "display-no-signal",
    "drive-too-slow",
    "net-no-link",
)
GEAR: tuple[tuple[str, ...], ...] = (
    ("place", "add", "House", "--kind", "site"),
    ("place", "add", "Control room", "--kind", "room", "--within", "House"),
    ("place", "add", "rack R1", "--kind", "rack", "--within", "House"),
    ("place", "add", "recorder 1", "--kind", "position", "--within", "rack R1"),
    ("place", "add", "drawer C1", "--kind", "drawer", "--within", "House"),
    ("model", "add", "Halvetta", "Tern 14", "--class", "call-computer"),
    ("model", "add", "Yelkarn", "Aspen 43", "--class", "multiview-monitor"),
    ("model", "add", "Ossprell", "Ribbonet 3", "--class", "cable", "--data", "length=3 m"),
    ("model", "add", "Morvaxa", "Silo 1T", "--class", "drive"),
    ("item", "add", "CC-01", "--model", "Tern 14", "--place", "Control room"),
    ("item", "add", "CC-02", "--model", "Tern 14", "--place", "Control room"),
    ("item", "add", "MM-01", "--model", "Aspen 43", "--place", "Control room"),
    ("item", "add", "HD-04", "--model", "Ribbonet 3", "--place", "drawer C1"),
    ("item", "add", "HD-05", "--model", "Ribbonet 3", "--place", "drawer C1"),
    ("item", "add", "DR-01", "--model", "Silo 1T", "--place", "drawer C1"),
    ("log", "CC-01", "the picture is greenish", "--at", "2026-11-19 09:00"),
)


@pytest.fixture
def studio(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Give the test a copy of the workspace of its own, chosen by the environment."""
    folder = tmp_path / "studio"
    shutil.copytree(made, folder)
    monkeypatch.setenv("KITLORE_WORKSPACE", str(folder))
    monkeypatch.setenv("LOGNAME", "jp")
    monkeypatch.delenv("KITLORE_BY", raising=False)
    yield folder
    assert not (folder / "kitlore.log").exists(), (folder / "kitlore.log").read_text()


@pytest.fixture(scope="session")
def _shared(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(made, tmp_path_factory.mktemp("shared") / "studio"))


@pytest.fixture
def refused(_shared: Path, monkeypatch: pytest.MonkeyPatch) -> Refused:
    """Return what runs a wrong call, sees that it changes nothing, and returns its sentences."""
    monkeypatch.setenv("KITLORE_WORKSPACE", str(_shared))
    monkeypatch.setenv("LOGNAME", "jp")
    monkeypatch.delenv("KITLORE_BY", raising=False)

    def call(*words: object) -> str:
        before = _written(_shared)
        result = called(*words)
        assert (result.code, result.out) == (2, "")
        assert _written(_shared) == before
        return result.err

    return call


def _written(folder: Path) -> int:
    """Return how much was ever written in a workspace."""
    with closing(sqlite3.connect(folder / "kitlore.db")) as connection:
        count: int = connection.execute("SELECT count(*) FROM history").fetchone()[0]
        return count


@pytest.fixture
def call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Return what runs the command where there is no workspace."""
    monkeypatch.delenv("KITLORE_WORKSPACE", raising=False)
    monkeypatch.delenv("KITLORE_BY", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("LOGNAME", "jp")
    monkeypatch.chdir(tmp_path)
    return called


@pytest.fixture
def run(studio: Path) -> Run:  # noqa: ARG001 - it is chosen by the environment
    """Return what runs the command on the test's own workspace."""
    return called
