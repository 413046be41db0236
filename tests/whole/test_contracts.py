"""The floors of the house are kept: who may import whom, and what no contract can see."""

import re
import subprocess
import sys
import tomllib
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from kb.cli import app

ROOT = Path(__file__).parents[2]
KB = ROOT / "kb"
PARTS = sorted(
    path.stem if path.suffix else path.name
    for path in KB.iterdir()
    if path.name != "__init__.py" and (path.suffix == ".py" or (path / "__init__.py").exists())
)


def linter() -> dict[str, Any]:
    """Return how the linter of imports is set."""
    read = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    found: dict[str, Any] = read["tool"]["importlinter"]
    return found


def contracts() -> dict[str, dict[str, Any]]:
    return {one["id"]: one for one in linter()["contracts"]}


@pytest.mark.slow
def test_every_contract_is_kept() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    assert f"Contracts: {len(contracts())} kept, 0 broken." in done.stdout


def test_no_import_is_excused() -> None:
    """An excuse is a key of a contract; imports for types alone count as well."""
    for name, one in contracts().items():
        assert not {key for key in one if "ignore" in key}, name
    assert not linter().get("exclude_type_checking_imports", False)
    held = [
        path for path in KB.rglob("*.py") if "TYPE_CHECKING" in path.read_text(encoding="utf-8")
    ]
    assert held == []


def test_every_part_of_the_house_has_its_floor() -> None:
    layers = contracts()["layers"]
    assert layers["exhaustive"] is True
    floors = [name.strip() for floor in layers["layers"] for name in floor.split("|")]
    assert sorted(floors) == PARTS


@pytest.mark.parametrize("name", ["faces", "templates", "whoosh", "owners"])
def test_a_contract_on_a_library_leaves_no_part_out(name: str) -> None:
    """Each part stands in it, but for those that the contract's own name lets in."""
    let_in = {
        "faces": {"cli", "web", "__main__"},
        "templates": {"web", "exchange", "__main__"},
        "whoosh": {"search", "__main__", "checking", "clock", "errors", "trade"},
        "owners": {"records", "labels", "__main__", "checking", "clock", "errors", "trade"},
    }[name]
    held = {module.removeprefix("kb.") for module in contracts()[name]["source_modules"]}
    missing = set(PARTS) - held - let_in
    assert missing == set()


def test_what_a_string_names_is_there() -> None:
    """The command starts the pages by a string, which no contract sees."""
    serve = (KB / "cli" / "serve.py").read_text(encoding="utf-8")
    (named,) = re.findall(r'"(kb\.[\w.]+:\w+)"', serve)
    module, _, name = named.partition(":")
    assert named == "kb.web.app:from_environment"
    assert callable(getattr(import_module(module), name))


@pytest.mark.parametrize("module", sorted(set(app.WORDS.values())))
def test_every_word_has_its_module(module: str) -> None:
    assert callable(import_module(f"kb.cli.{module}").add_to)
