"""The indexes heal from whatever befalls them: nothing in them is the truth."""

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from builders import a_place, an_item
from fault_builders import NOW, a_fault, an_entry
from indexed import CLOCK, contents, found, fresh
from sqlalchemy import Engine
from sqlmodel import Session

from kb.gear import items
from kb.records import position
from kb.records import session as units
from kb.records.tables.journal import Base
from kb.records.unit import Writer
from kb.search import index, refresh

ROOT = Path(__file__).parents[2]
SLUG = "display-no-signal"
WRITER = Writer("M.O.", "terminal", NOW)


@pytest.fixture
def studio(session: Session, folder: Path) -> Session:
    """Fill a base with a thing or two of each kind, and index it."""
    _fill(session)
    assert refresh.catch_up(session, folder, CLOCK)
    return session


def _fill(session: Session) -> None:
    a_place(session)
    an_item(session, "CC-01", place="RR")
    an_item(session, "CC-02", place="RR")
    an_entry(session)
    a_fault(session, "CC-01", entry=SLUG)


def write(engine: Engine, text: str) -> int:
    """Commit a fault with these words."""
    with units.begin(engine, WRITER) as unit:
        return a_fault(unit, text=text)


def asked(engine: Engine, folder: Path, text: str) -> list[str]:
    """Return the faults that a search finds, in a unit of work of its own."""
    with units.read(engine) as unit:
        return found(unit, folder, text, "fault")


Harm = Callable[[Path], object]
HARMS: dict[str, Harm] = {
    "the folder is gone": shutil.rmtree,
    "the positions are gone": lambda folder: list(map(Path.unlink, folder.glob("*.json"))),
    "the positions are broken": lambda folder: [
        path.write_text("{") for path in folder.glob("*.json")
    ],
    "the files are cut off": lambda folder: [
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
        for path in folder.glob("*.seg")
    ],
    "the files are empty": lambda folder: [
        path.write_bytes(b"") for path in folder.iterdir() if path.suffix in (".seg", ".toc")
    ],
    "the files are gone": lambda folder: list(map(Path.unlink, folder.glob("*.seg"))),
    "the contents are noise": lambda folder: [
        path.write_bytes(bytes(path.stat().st_size)) for path in folder.glob("*.toc")
    ],
}


# The library waits half a second for a file that is gone to come back.
SLOW = {"the files are gone": pytest.mark.slow}


@pytest.mark.parametrize(
    "harm",
    [pytest.param(harm, id=name, marks=SLOW.get(name, ())) for name, harm in HARMS.items()],
)
@pytest.mark.parametrize("wanted", [[], ["2"]], ids=["then asked", "then changed and asked"])
def test_an_index_heals(studio: Session, folder: Path, harm: Harm, wanted: list[str]) -> None:
    harm(folder)
    for _ in wanted:
        a_fault(studio, text="a zebra on the wall")
    # What is found broken while it's read counts as absent; the next one that asks heals it.
    found(studio, folder, "zebra", "fault")
    assert found(studio, folder, "zebra", "fault") == wanted
    assert found(studio, folder, "signal") == [SLUG]
    assert contents(folder) == fresh(studio, folder)


def test_another_base_in_its_place_is_read_anew(studio: Session, folder: Path) -> None:
    studio.get_one(Base, 1).mark = "another base"
    studio.flush()
    known = index.position(folder, "entries")
    assert refresh.catch_up(studio, folder, CLOCK)
    now = position.loads(index.position(folder, "entries"))
    assert now is not None
    assert (now.base, index.position(folder, "entries") != known) == ("another base", True)


def test_an_older_copy_in_its_place_is_read_anew(
    opened: Callable[[], Engine], base_file: Path, folder: Path
) -> None:
    engine = opened()
    with units.begin(engine, WRITER) as unit:
        _fill(unit)
    older = base_file.with_name("older.db")
    with closing(sqlite3.connect(base_file)) as now, closing(sqlite3.connect(older)) as copy:
        now.backup(copy)
    write(engine, "a zebra on the wall")
    assert asked(engine, folder, "zebra") == ["2"]
    engine.dispose()
    for path in base_file.parent.glob("kitlore.db*"):
        path.unlink()
    older.rename(base_file)
    engine = opened()
    assert asked(engine, folder, "zebra") == []
    assert asked(engine, folder, "greenish") == ["1"]
    assert write(engine, "an antelope") == 2
    assert asked(engine, folder, "antelope") == ["2"]
    with units.read(engine) as unit:
        assert contents(folder) == fresh(unit, folder)


# Says what it commits, then waits to be killed before the index has heard of it; or, asked to
# go on, changes and catches up without end.
PROCESS = f"""
import sys
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from kb.faults import log
from kb.records import session as units
from kb.records.unit import Writer
from kb.search import refresh
from kb.search.sources import Clock

base, folder, goes_on = sys.argv[1], Path(sys.argv[2]), sys.argv[3] == "on"
now = datetime.fromisoformat("{NOW.isoformat()}")
engine = units.engine_for(f"sqlite:///{{base}}")
for turn in count():
    with units.begin(engine, Writer("J.P.", "terminal", now)) as unit:
        number = log.log_fault(unit, {{"text": f"turn {{turn}}x", "item": "CC-01"}}, now)
    print(number, flush=True)
    if not goes_on:
        sys.stdin.read()
    with units.read(engine) as unit:
        refresh.catch_up(unit, folder, Clock(now, 7))
"""


@pytest.mark.slow
@pytest.mark.parametrize("turns", [0, 1, 2, 5])
def test_a_process_killed_before_or_while_it_indexes_costs_nothing(
    opened: Callable[[], Engine], base_file: Path, folder: Path, turns: int
) -> None:
    engine = opened()
    with units.begin(engine, WRITER) as unit:
        _fill(unit)
    asked(engine, folder, "anything")
    mode = "on" if turns else "wait"
    call = [sys.executable, "-c", PROCESS, str(base_file), str(folder), mode]
    pipe = subprocess.PIPE
    with subprocess.Popen(call, cwd=ROOT, stdin=pipe, stdout=pipe, text=True) as process:
        assert process.stdout is not None
        committed = [process.stdout.readline().strip() for _ in range(max(turns, 1))]
        process.kill()  # SIGKILL: it gets no chance to tidy up
        rest = process.stdout.read().split()
    assert process.returncode == -9
    with units.read(engine) as unit:
        assert refresh.catch_up(unit, folder, CLOCK)
        held = contents(folder)
        assert {("fault", number) for number in (*committed, *rest)} <= held.keys()
        assert held == fresh(unit, folder)


ASKING = f"""
import sys
from datetime import datetime
from pathlib import Path
from kb.records import session as units
from kb.search import query, refresh
from kb.search.sources import Clock

now = datetime.fromisoformat("{NOW.isoformat()}")
engine = units.engine_for(f"sqlite:///{{sys.argv[1]}}")
with units.read(engine) as unit:
    refresh.catch_up(unit, Path(sys.argv[2]), Clock(now, 7))
print(*(hit.key for hit in query.search(Path(sys.argv[2]), "greenish signal").hits))
"""


@pytest.mark.slow
@pytest.mark.parametrize("before", ["the index is behind", "there is no index"])
def test_several_that_ask_at_once_all_find_it(
    opened: Callable[[], Engine], base_file: Path, folder: Path, before: str
) -> None:
    engine = opened()
    with units.begin(engine, WRITER) as unit:
        _fill(unit)
    if before == "the index is behind":
        asked(engine, folder, "anything")
        with units.begin(engine, WRITER) as unit:
            items.set_state(unit, "CC-02", "doubtful", NOW)
    call = [sys.executable, "-c", ASKING, str(base_file), str(folder)]

    def ask(_: int) -> str:
        return subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=True).stdout

    with ThreadPoolExecutor(5) as pool:
        answers = set(pool.map(ask, range(5)))
    assert answers == {f"{SLUG} 1\n"}
    with units.read(engine) as unit:
        assert contents(folder) == fresh(unit, folder)
