"""The wheel alone is the whole product: built, put into a clean environment, run elsewhere."""

import json
import os
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    call = [sys.executable, "-m", "build", "--wheel", "--outdir", str(out), str(ROOT)]
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (found,) = out.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of programs of a clean environment that holds the wheel and what it asks for."""
    place = tmp_path_factory.mktemp("clean") / "environment"
    subprocess.run([sys.executable, "-m", "venv", str(place)], check=True)
    programs = place / "bin"
    call = [str(programs / "pip"), "install", "--quiet", "--disable-pip-version-check", str(wheel)]
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return programs


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty folder to run in."""
    return tmp_path_factory.mktemp("elsewhere")


def run(program: Path, *words: str, cwd: Path) -> str:
    """Run a program of the clean environment, with nothing of ours in its surroundings."""
    env = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "KITLORE", "VIRTUAL_ENV"))
    }
    done = subprocess.run(
        [str(program), *words], cwd=cwd, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, (words, done.stdout, done.stderr)
    assert done.stderr == ""
    return done.stdout


def test_the_wheel_holds_the_program_its_data_and_nothing_else(wheel: Path) -> None:
    with ZipFile(wheel) as packed:
        names = {name for name in packed.namelist() if ".dist-info/" not in name}
    caches = ("__pycache__", "starter")
    wanted = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "kb").rglob("*")
        if path.is_file() and not {*caches} & set(path.parts)
    }
    for folder in ("entries", "labels"):
        shipped = {path.name for path in (ROOT / folder).iterdir() if path.is_file()}
        wanted |= {f"kb/starter/{folder}/{name}" for name in shipped}
    assert names == wanted


def test_the_starter_base_and_the_stocks_are_inside_byte_for_byte(wheel: Path) -> None:
    with ZipFile(wheel) as packed:
        for folder in ("entries", "labels"):
            for path in (ROOT / folder).iterdir():
                assert packed.read(f"kb/starter/{folder}/{path.name}") == path.read_bytes()


def test_what_runs_is_the_wheel_and_not_the_sources(installed: Path, elsewhere: Path) -> None:
    told = run(
        installed / "python",
        *("-c", "import json, kb, sys; print(json.dumps([kb.__file__, sys.path]))"),
        cwd=elsewhere,
    )
    file, path = json.loads(told)
    assert Path(file).is_relative_to(installed.parent)
    assert not [one for one in path if one and Path(one).is_relative_to(ROOT)]


@pytest.fixture(scope="module")
def studio(installed: Path, elsewhere: Path) -> Path:
    """The invented studio, built by the wheel's own command in the empty folder."""
    told = run(installed / "kitlore", "demo", "--no-serve", cwd=elsewhere)
    assert "130 items, 126 shows, 87 faults" in " ".join(told.split())
    return elsewhere / "thrennow-house"


def test_the_studio_is_built_searched_and_reviewed(installed: Path, studio: Path) -> None:
    found = json.loads(run(installed / "kitlore", "find", "looks pink", "--json", cwd=studio))
    assert found["confident"] is True
    assert found["results"][0]["id"] == "display-colour-shift"
    review = json.loads(run(installed / "kitlore", "review", "models", "--json", cwd=studio))
    counted = {row["model"]: row["failures"] for row in review["models"]}
    assert counted["Ossprell Ribbonet 3"] == 7
    assert run(installed / "kitlore", "check", cwd=studio).strip()


def test_stocks_and_entries_are_found_in_the_package(installed: Path, elsewhere: Path) -> None:
    stocks = json.loads(run(installed / "kitlore", "stock", "list", "--json", cwd=elsewhere))
    shipped = sorted(path.stem for path in (ROOT / "labels").glob("*.toml"))
    assert sorted(one["name"] for one in stocks) == shipped
    (starter,) = installed.parent.glob("lib/python*/site-packages/kb/starter/entries")
    told = run(installed / "kitlore", "entries", "lint", str(starter), cwd=elsewhere)
    assert told == "Nothing to mend.\n"


def test_a_new_workspace_begins_with_the_starter_base(installed: Path, elsewhere: Path) -> None:
    told = run(installed / "kitlore", "init", "new", "--zone", "UTC", cwd=elsewhere)
    entries = len(list((ROOT / "entries").glob("*-*.md")))
    assert f"{entries} entries" in " ".join(told.split())


def test_labels_are_printed(installed: Path, studio: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "labels.pdf"
    run(installed / "kitlore", "label", "CC-05", "--out", str(sheet), "--verify", cwd=studio)
    assert sheet.read_bytes().startswith(b"%PDF-")


PAGE = """
import asyncio, sys
from kb.web.app import from_environment

async def get(app, path):
    sent, asked = [], [{"type": "http.request", "body": b"", "more_body": False}]

    async def receive():
        return asked.pop() if asked else await asyncio.Event().wait()

    async def send(message):
        sent.append(message)

    scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET",
             "path": path, "raw_path": path.encode(), "root_path": "", "scheme": "http",
             "query_string": b"", "headers": [(b"host", b"127.0.0.1")],
             "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80)}
    await app(scope, receive, send)
    return sent[0]["status"], b"".join(one.get("body", b"") for one in sent)

async def main():
    app = from_environment()
    for path in sys.argv[1:]:
        status, body = await get(app, path)
        print(status, len(body) > 0)

asyncio.run(main())
"""


def test_the_pages_find_their_templates_and_styles(installed: Path, studio: Path) -> None:
    env = {**os.environ, "KITLORE_WORKSPACE": str(studio)}
    paths = ["/", *(f"/static/{one.name}" for one in (ROOT / "kb/web/static").glob("*.*"))]
    done = subprocess.run(
        [str(installed / "python"), "-c", PAGE, *paths],
        cwd=studio,
        env={name: value for name, value in env.items() if name != "PYTHONPATH"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == ["200 True"] * len(paths)
