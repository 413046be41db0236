"""What a command loads: a cold search waits for no database layer, no command for the pages."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

Copy = Callable[[Path], Path]

pytestmark = pytest.mark.slow

# Runs a command as `python -m kb` does, then says on the last line which modules were loaded.
WRAPPED = """
import json, runpy, sys
try:
    runpy.run_module("kb", run_name="__main__", alter_sys=True)
except SystemExit as end:
    code = end.code
print()
print(json.dumps([code or 0, sorted(sys.modules)]))
"""

DATABASE = {"sqlmodel", "sqlalchemy", "alembic"}
HEAVY = {"numpy", "scipy", "rich", "fastapi", "starlette", "uvicorn", "jinja2", "reportlab", "PIL"}
# Brings a base to its schema; the pages.
NEVER = {"alembic", "fastapi", "starlette", "uvicorn", "jinja2"}


@pytest.fixture(scope="module")
def studio(demo_copy: Copy, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_copy(tmp_path_factory.mktemp("start") / "studio")


def loaded(studio: Path, *words: str) -> set[str]:
    """Return the top-level modules that a command loads; it must go through."""
    done = subprocess.run(
        [sys.executable, "-c", WRAPPED, *words],
        env={**os.environ, "KITLORE_WORKSPACE": str(studio), "KITLORE_BY": "J.P."},
        cwd=studio.parent,
        capture_output=True,
        text=True,
        check=True,
    )
    code, modules = json.loads(done.stdout.splitlines()[-1])
    assert code == 0, done.stderr
    return {name.partition(".")[0] for name in modules}


def test_a_cold_search_loads_no_database_layer_and_nothing_heavy(
    demo_copy: Copy, tmp_path: Path
) -> None:
    studio = demo_copy(tmp_path / "studio")
    for words in (("find", "no sound"), ("find", "no sound", "--json")):
        modules = loaded(studio, *words)
        assert "whoosh" in modules
        assert modules & (DATABASE | HEAVY) == set()
    # Once something changed, the index has to catch up first.
    assert "sqlmodel" in loaded(studio, "log", "CC-05", "acts up")
    loaded(studio, "find", "no sound")
    assert loaded(studio, "find", "no sound") & DATABASE == set()


COMMANDS = [
    ("find", "no sound", "--item", "CC-05"),
    ("log", "CC-05", "acts up"),
    ("fault", "list"),
    ("fault", "see", "87"),
    ("fault", "correct", "87", "--text", "acts up"),
    ("item", "list"),
    ("item", "see", "CC-05"),
    ("model", "list"),
    ("place", "list"),
    ("link", "list", "CC-05"),
    ("show", "list"),
    ("service", "due"),
    ("loan", "list"),
    ("spare", "list"),
    ("person", "list"),
    ("entries", "list"),
    ("entries", "see", "audio-hum"),
    ("entries", "starter"),
    ("history", "item", "CC-05"),
    ("table", "out", "items", "items.csv"),
    ("settings",),
    ("review", "models"),
    ("label", "CC-05", "--out", "label.pdf"),
    ("stock", "list"),
    ("check",),
    ("backup", "--to", "copy.zip"),
]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: "-".join(words[:2]))
def test_no_command_loads_what_only_the_pages_or_a_new_schema_need(
    studio: Path, words: tuple[str, ...]
) -> None:
    # A backup leaves a page to read beside it.
    its_own = {"jinja2"} if words[0] == "backup" else set()
    assert loaded(studio, *words) & NEVER - its_own == set()


def test_statistics_are_loaded_by_the_review_alone(studio: Path) -> None:
    assert "scipy" in loaded(studio, "review", "models")
    for words in (("fault", "list"), ("item", "list"), ("log", "CC-05", "acts up")):
        assert loaded(studio, *words) & {"numpy", "scipy"} == set()
