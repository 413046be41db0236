"""What a crew does, on the invented studio by the real commands: each item, each fault."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from calls import Result, called
from sqlmodel import Session, select

from kb.demo import story as told
from kb.demo.use_rows import Fault
from kb.gear import codes
from kb.records.kinds import CauseKind, ItemState
from kb.records.tables.gear import Item

FAULTS = {fault.number: fault for fault in told.load().faults}

Copy = Callable[[Path], Path]

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def studio(demo_copy: Copy, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A copy of the invented studio that the journeys of this file share."""
    folder = demo_copy(tmp_path_factory.mktemp("journeys") / "studio")
    yield folder
    assert not (folder / "kitlore.log").exists(), (folder / "kitlore.log").read_text()


def run(studio: Path, *words: object, by: str = "J.P.") -> Result:
    """Run a command that must go through."""
    result = called("-w", studio, "--by", by, *words)
    assert (result.code, result.err) == (0, ""), (words, result.err)
    return result


def line(studio: Path, number: int) -> dict[str, Any]:
    """Return what is known of a fault."""
    found: dict[str, Any] = run(studio, "fault", "see", number, "--json").json
    return {**found["line"], "attempts": found["attempts"]}


def version(studio: Path, number: int) -> int:
    return int(run(studio, "fault", "see", number, "--json").json["version"])


@pytest.fixture(scope="module")
def in_use(demo_engine: Any) -> dict[str, str]:  # noqa: ANN401 - an engine
    """Return name -> code of the items in use."""
    with Session(demo_engine) as session:
        found = session.scalars(select(Item).where(Item.state == ItemState.FIT))
        return {item.name: item.code for item in found}


def test_a_fault_is_logged_on_every_item_in_use_by_code_and_by_name(
    studio: Path, in_use: dict[str, str]
) -> None:
    assert len(in_use) == 114
    for name, code in in_use.items():
        by_code = run(studio, "log", codes.shown(code).lower(), "acts up", "--json").json["fault"]
        by_name = run(studio, "log", name.lower(), "acts up again", "--json").json["fault"]
        assert by_name == by_code + 1
        listed = run(studio, "fault", "list", "--item", code, "--limit", 9, "--json").json
        # Another journey may have logged on it before: as a process of its own, whose studio has
        # the machine's hour and not the one that the calls of this process are given.
        listed = [one for one in listed if one["number"] >= by_code]
        assert [one["number"] for one in listed] == [by_name, by_code]
        for seen in listed:
            assert (seen["item"], seen["code"], seen["state"]) == (name, code, "open")
            assert seen["place"].startswith("Thrennow House/")
            assert seen["reporter"] == "J.P."


@pytest.mark.parametrize("number", FAULTS)
def test_every_fault_of_the_story_is_lived_through_again(studio: Path, number: int) -> None:
    fault = FAULTS[number]
    where = ("--place", "Studio floor") if fault.seen_on is None else ()
    seen_on = () if fault.seen_on is None else (fault.seen_on,)
    logged = run(studio, "log", *seen_on, fault.text, *where, "--json", by=fault.reporter).json
    mine = logged["fault"]
    for fitting in logged["fitting"][:1]:
        entry = run(studio, "entries", "see", fitting["id"], "--json").json["entry"]
        assert entry["title"] == fitting["title"]
    _try_and_close(studio, mine, fault)
    _open_and_correct(studio, mine, fault)


def _try_and_close(studio: Path, mine: int, fault: Fault) -> None:
    """Try the entry's first fix in vain and its last with success; close."""
    entry = run(studio, "entries", "see", fault.topic, "--json").json["entry"]
    first, *_, last = [fix["key"] for fix in entry["fixes"]]
    run(studio, "fault", "try", mine, first, "--entry", fault.topic, "--no-good")
    run(studio, "fault", "try", mine, last, "--worked", "--minutes", 1.5)
    tried = line(studio, mine)
    assert (tried["state"], tried["entry"]) == ("watched", fault.topic)
    assert [(one["fix"], one["outcome"]) for one in tried["attempts"]] == [
        (first, "did not work"),
        (last, "worked"),
    ]
    closed = ("--kind", fault.cause_kind.value, "--item", fault.cause_item)
    run(studio, "fault", "close", mine, *closed, "--minutes-lost", fault.minutes)
    found = line(studio, mine)
    assert (found["state"], found["minutes_lost"]) == ("closed", fault.minutes)
    assert (found["cause_kind"], found["cause_item"]) == (fault.cause_kind, fault.cause_item)


def _open_and_correct(studio: Path, mine: int, fault: Fault) -> None:
    """Name another cause; open it again, put right where it was seen, and close it anew."""
    closed = run(studio, "fault", "see", mine, "--json").json
    run(studio, "fault", "blame", mine, "--kind", "unknown", "--item", "none")
    blamed = run(studio, "fault", "see", mine, "--json").json
    assert (blamed["line"]["cause_kind"], blamed["line"]["cause_item"]) == ("unknown", "")
    assert blamed["restored_at"] == closed["restored_at"]
    run(studio, "fault", "reopen", mine)
    run(studio, "fault", "correct", mine, "--item", "SE-01", "--effect", "degraded")
    put_right = line(studio, mine)
    assert (put_right["state"], put_right["cause_item"]) == ("open", "")
    assert (put_right["item"], put_right["effect"]) == ("SE-01", "degraded")
    assert put_right["text"] == fault.text
    run(studio, "fault", "close", mine, "--kind", "no fault found", "--item", "none")
    found = line(studio, mine)
    assert (found["cause_kind"], found["cause_item"]) == (CauseKind.NO_FAULT_FOUND, "")
    history = run(studio, "history", "fault", mine, "--json").json
    assert [step["who"] for step in history] == [fault.reporter, *["J.P."] * (len(history) - 1)]


WRONG: dict[str, tuple[object, ...]] = {
    "log: no such item": ("log", "ZZ-99", "acts up"),
    "log: check character": ("log", "{code}!", "acts up"),
    "log: no words": ("log", "CC-01"),
    "log: blank words": ("log", "CC-01", "  "),
    "log: control character": ("log", "CC-01", "a\x07b"),
    "log: too long": ("log", "CC-01", "x" * 100_000),
    "log: no such place": ("log", "--place", "moon", "dark"),
    "log: no such effect": ("log", "CC-01", "dark", "--effect", "awful"),
    "log: no cable": ("log", "CC-01", "dark", "--end", "A"),
    "log: no such end": ("log", "HD-19", "dark", "--end", "C"),
    "log: minutes": ("log", "CC-01", "dark", "--minutes-lost", -1),
    "log: no such entry": ("log", "CC-01", "dark", "--entry", "none"),
    "log: no such person": ("log", "CC-01", "dark", "--reporter", "Q.Q."),
    "log: the future": ("log", "CC-01", "dark", "--at", "2026-11-01 09:00"),
    "log: no time": ("log", "CC-01", "dark", "--at", "soon"),
    "log: no such option": ("log", "CC-01", "dark", "--colour", "pink"),
    "by nobody": ("log", "CC-01", "dark", "--by", "Q.Q."),
    "see: no such fault": ("fault", "see", 9999),
    "see: no number": ("fault", "see", "one"),
    "see: a long number": ("fault", "see", 10**30),
    "try: no such fault": ("fault", "try", 9999, "replug", "--worked"),
    "try: no such fix": ("fault", "try", "{open}", "dance", "--worked", "--entry", "drive-full"),
    "try: no entry": ("fault", "try", "{open}", "replug", "--worked"),
    "try: no outcome": ("fault", "try", "{open}", "swap"),
    "try: nothing done": ("fault", "try", "{open}", "--worked"),
    "try: closed": ("fault", "try", 1, "--what", "prayer", "--worked"),
    "try: before": ("fault", "try", "{open}", "--what", "x", "--worked", "--at", "2025-01-01"),
    "close: no kind": ("fault", "close", "{open}"),
    "close: no such kind": ("fault", "close", "{open}", "--kind", "bad luck"),
    "close: no such item": ("fault", "close", "{open}", "--kind", "unknown", "--item", "ZZ-99"),
    "close: whose failure": (
        "fault",
        "close",
        "{open}",
        "--kind",
        "own failure",
        "--item",
        "none",
    ),
    "close: twice": ("fault", "close", 1, "--kind", "unknown"),
    "close: seen before": ("fault", "close", "{open}", "--kind", "unknown", "--seen", 77),
    "close: restored before": (
        *("fault", "close", "{open}", "--kind", "unknown"),
        *("--restored", "2025-01-01"),
    ),
    "reopen: open": ("fault", "reopen", "{open}"),
    "reopen: no such fault": ("fault", "reopen", 9999),
    "correct: nothing": ("fault", "correct", "{open}"),
    "correct: no such item": ("fault", "correct", "{open}", "--item", "ZZ-99"),
    "correct: no words": ("fault", "correct", "{open}", "--text", " "),
    "merge: with itself": ("fault", "merge", "{open}", "{open}"),
    "merge: no such fault": ("fault", "merge", "{open}", 9999),
    "retell: no such attempt": ("fault", "retell", 9999, "--worked"),
    "retell: as it is": ("fault", "retell", 1, "--worked"),
    "strike: no reason": ("fault", "strike", 1, "--reason", ""),
    "list: no such state": ("fault", "list", "--state", "lost"),
    "find: no words": ("find",),
    "find: no such item": ("find", "dark", "--item", "ZZ-99"),
    "entries: no such slug": ("entries", "see", "no-such"),
    "no such word": ("dance",),
}


@pytest.fixture(scope="module")
def open_fault(studio: Path) -> int:
    return int(run(studio, "log", "CC-01", "acts up", "--json").json["fault"])


@pytest.mark.parametrize("words", WRONG.values(), ids=WRONG.keys())
def test_a_wrong_call_is_told_and_changes_nothing(
    studio: Path, open_fault: int, in_use: dict[str, str], words: tuple[object, ...]
) -> None:
    code = in_use["CC-01"]
    wrong = code[:5] + ("2" if code[5] != "2" else "3")
    given = [str(word).replace("{open}", str(open_fault)) for word in words]
    given = [wrong if word == "{code}!" else word for word in given]
    before = version(studio, open_fault)
    result = called("-w", studio, "--by", "J.P.", *given)
    assert result.code == 2, result
    assert result.out == ""
    assert result.err.strip()
    assert "Traceback" not in result.err
    assert version(studio, open_fault) == before
    assert line(studio, open_fault)["attempts"] == []


def process(studio: Path, *words: str) -> str:
    """Run a command as a process of its own and return what it printed."""
    done = subprocess.run(
        [sys.executable, "-m", "kb", *words],
        env={**os.environ, "KITLORE_WORKSPACE": str(studio), "KITLORE_BY": "S.L."},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return done.stdout


def test_somebody_new_finds_the_fix_and_puts_back_whether_it_worked(studio: Path) -> None:
    """As real processes: what one leaves the next one finds."""
    shown = process(studio, "find", "evrything looks pink", "--item", "CC-05")
    assert "Wrong colours after start-up" in shown
    logged = process(studio, "log", "CC-05", "a purple zebra on five")
    number = logged.split()[1]
    process(
        studio, "fault", "try", number, "replug", "--entry", "display-colour-shift", "--worked"
    )
    assert f"(fault {number})" in process(studio, "find", "purple zebra")
    assert "watched" in process(studio, "fault", "see", number)
    process(studio, "fault", "close", number, "--kind", "wrong setting as delivered")
    assert "closed" in process(studio, "fault", "see", number)
    noticed = line(studio, int(number))["noticed_at"]
    # The studio's clock stands on its last day.
    assert datetime.fromisoformat(noticed).date().isoformat() == "2026-10-31"
