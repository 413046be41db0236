"""Every family of errors through terminal, page and API: one sentence, a code, a status."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient
from visiting import at_the_machine

from kb import errors
from kb.cli import failures as terminal
from kb.errors import InvalidError, KitloreError, NotFoundError, Problem
from kb.gear import pages
from kb.records import workspace
from kb.web import app
from kb.web import failures as web

SENTENCE = "The rack is on fire. Put it out."
RAISED = {
    errors.InvalidError: InvalidError([Problem("rack", "it is on fire. Put it out.")]),
    errors.NotFoundError: NotFoundError("rack", "R9", "Look in the next room."),
    errors.ConflictError: errors.ConflictError(SENTENCE),
    errors.UnlikelyError: errors.UnlikelyError(SENTENCE),
    errors.BusyError: errors.BusyError(SENTENCE),
    errors.StorageError: errors.StorageError(SENTENCE),
}
MEANT = "Add --sure if you mean it.\n"
CODES = {
    errors.InvalidError: (2, 422),
    errors.NotFoundError: (2, 404),
    errors.ConflictError: (2, 409),
    errors.UnlikelyError: (2, 409),
    errors.BusyError: (3, 503),
    errors.StorageError: (3, 503),
}


def families(base: type[KitloreError] = KitloreError) -> Iterator[type[KitloreError]]:
    for family in base.__subclasses__():
        yield family
        yield from families(family)


@pytest.fixture(scope="module")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("families") / "studio"
    assert called("init", folder, "--zone", "UTC").code == 0
    return folder


@pytest.fixture(scope="module")
def client(studio: Path) -> Iterator[TestClient]:
    with at_the_machine(app.create_app(workspace.opened(studio)), defects=True) as opened:
        yield opened


def test_both_faces_know_every_family() -> None:
    known = set(families())

    assert known == set(RAISED) == set(terminal.CODES) == set(web.STATUSES)


@pytest.mark.parametrize("family", RAISED, ids=lambda family: family.__name__)
def test_a_family_says_the_same_in_terminal_page_and_api(
    family: type[KitloreError], studio: Path, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    error = RAISED[family]

    def raised(*_given: object, **_more: object) -> None:
        raise error

    monkeypatch.setattr(pages, "item_page", raised)
    result = called("-w", studio, "item", "see", "CC-01")
    page = client.get("/CC-01")
    problem = client.get("/api/items/CC-01")

    code, status = CODES[family]
    assert (result.code, page.status_code, problem.status_code) == (code, status, status)
    assert result.err.removesuffix(MEANT).strip() == error.message
    assert problem.headers["content-type"] == "application/problem+json"
    assert problem.json()["detail"] == error.message
    for told in problem.json()["problems"]:
        assert told["message"].replace("'", "&#39;") in page.text


def test_a_defect_of_ours_is_told_without_a_trace(
    studio: Path, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_given: object, **_more: object) -> None:
        msg = "a bug"
        raise RuntimeError(msg)

    monkeypatch.setattr(pages, "item_page", broken)
    result = called("-w", studio, "item", "see", "CC-01")
    page = client.get("/CC-01")
    problem = client.get("/api/items/CC-01")

    assert (result.code, page.status_code, problem.status_code) == (4, 500, 500)
    log = (studio / "kitlore.log").read_text()
    assert log.count("RuntimeError: a bug") == 3
    assert str(studio / "kitlore.log") in result.err
    for told in (result.out + result.err, page.text, problem.text):
        assert "Traceback" not in told
        assert "a bug" not in told
