"""The invented studio behind the application, built once; a test that writes gets a copy."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from calls import NOW, called
from fastapi import FastAPI
from fastapi.testclient import TestClient
from visiting import at_the_machine, on_the_network

from kb import clock
from kb.crew.hosts import Reach
from kb.records import workspace
from kb.web import app, limits


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("web") / "studio"
    result = called("demo", folder, "--no-serve")
    assert result.code == 0, result.err
    return folder


@pytest.fixture(scope="session")
def looking(built: Path) -> Iterator[TestClient]:
    """A client for tests that only look; redirects are not followed."""
    with at_the_machine(app.create_app(workspace.opened(built))) as client:
        yield client


@pytest.fixture
def folder(built: Path, tmp_path: Path) -> Path:
    """The test's own studio."""
    shutil.copytree(built, tmp_path / "studio")
    return tmp_path / "studio"


@pytest.fixture
def client(folder: Path) -> Iterator[TestClient]:
    """A client on the test's own studio; redirects are not followed."""
    with at_the_machine(app.create_app(workspace.opened(folder))) as opened:
        yield opened


@pytest.fixture
def before_air(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stop the clock when the studio was built, forty minutes before its rehearsal's air time."""
    monkeypatch.setattr(clock, "now", lambda: NOW)


@pytest.fixture
def code(built: Path) -> Callable[[str], str]:
    """Return what finds an item's code by its name."""

    def found(name: str) -> str:
        told: str = called("-w", built, "item", "see", name, "--json").json["line"]["code"]
        return told

    return found


@dataclass
class Lan:
    """The test's own studio on the crew's network: its machine, and phones that come to it."""

    app: FastAPI
    lead: TestClient

    def phone(self, person: str = "", address: str = "192.168.10.77") -> TestClient:
        """Return a phone, let in for a person; nobody's without one."""
        made = on_the_network(self.app, address)
        if person:
            answer = made.post("/pair", data={"ticket": self.ticket(person)})
            assert answer.status_code == 303, answer.text
            self.app.state.limits = limits.usual()
        return made

    def ticket(self, person: str) -> str:
        """Let the lead offer to let a phone in, and return what its symbol says."""
        page = self.lead.post("/access/offer", data={"person": person}).text
        return page.split("/pair?ticket=")[1].split("<")[0]

    def person(self, role: str) -> str:
        """Add somebody of that role."""
        self.lead.post("/people/new", data={"name": f"the {role}", "role": role})
        return f"the {role}"


@pytest.fixture
def lan(folder: Path) -> Iterator[Lan]:
    made = app.create_app(workspace.opened(folder), reach=Reach.NETWORK)
    with at_the_machine(made) as lead:
        yield Lan(made, lead)
