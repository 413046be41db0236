"""A search from the terminal keeps its index up to date, and never says 'nothing' without one."""

import shutil
from pathlib import Path
from typing import Any

import pytest
from calls import Run

from kb.search import index, refresh


def evidence(run: Run) -> Any:  # noqa: ANN401 - as JSON has it
    """Return what is known of the first fix for wrong colours."""
    first = run("find", "everything looks pink", "--json").json["results"][0]
    assert first["id"] == "display-colour-shift"
    return first["fixes"][0]["evidence"]


@pytest.fixture
def no_index(studio: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take the index away, and let none be made, as on a full disk."""
    shutil.rmtree(studio / "index")
    monkeypatch.setattr(index, "rebuild", lambda *_given, **_more: "unwritable")


def test_an_index_that_turns_out_damaged_while_it_is_read_is_made_anew(
    run: Run, studio: Path
) -> None:
    assert run("find", "pink").code == 0
    for path in (studio / "index").glob("*.seg"):
        path.write_bytes(bytes(path.stat().st_size))

    result = run("find", "pink")

    assert (result.code, result.err) == (0, "")
    assert "Wrong colours" in result.out


@pytest.mark.usefixtures("no_index")
def test_where_no_index_can_be_made_nothing_found_is_not_said(run: Run) -> None:
    result = run("find", "pink")
    lines = run("find", "--stdin", stdin="pink\n")

    assert (result.code, result.out) == (3, "")
    assert "search index" in result.err
    assert (lines.code, lines.json["query"]) == (2, "pink")
    assert "search index" in lines.json["error"]
    assert run("entries", "wanted", "--json").json == []


@pytest.mark.usefixtures("no_index")
def test_what_is_logged_stays_logged_where_no_index_can_be_made(run: Run) -> None:
    result = run("log", "CC-01", "everything looks pink", "--json")

    assert (result.code, result.json["fitting"]) == (0, [])
    assert run("fault", "see", result.json["fault"]).code == 0


def test_another_that_makes_the_index_just_now_is_waited_for(
    run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.rmtree(studio / "index")
    real, asked = refresh.catch_up, []

    def busy_twice(*given: Any) -> bool:  # noqa: ANN401 - passed on
        asked.append(given)
        return len(asked) > 2 and real(*given)

    monkeypatch.setattr(refresh, "catch_up", busy_twice)

    assert run("find", "pink").code == 0
    assert len(asked) == 3


def test_an_index_that_can_not_be_caught_up_answers_as_it_is(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("find", "pink").code == 0
    run("entries", "withdraw", "display-colour-shift")
    monkeypatch.setattr(index, "apply", lambda *_given, **_more: "unwritable")

    assert "Wrong colours" in run("find", "pink").out


def test_another_hold_time_counts_the_evidence_anew(run: Run) -> None:
    tried = ("fault", "try", 1, "replug", "--entry", "display-colour-shift", "--worked")
    run(*tried, "--at", "2026-11-19 09:30")
    assert evidence(run)["pending"] == ["2026-11-26T09:30:00+00:00"]

    run("settings", "hold_days=2")

    assert evidence(run)["pending"] == ["2026-11-21T09:30:00+00:00"]
    run("settings", "today=2026-11-22")
    assert (evidence(run)["pending"], evidence(run)["worked"]) == ([], 1)
