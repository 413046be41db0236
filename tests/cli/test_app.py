"""The command as a whole: words, help, exit codes, the workspace before and after the command."""

import json
import os
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from calls import Run
from typer.core import TyperGroup

from kb import __version__, errors
from kb.cli import app, desk, failures

WIDTH = 80
EXAMPLE = "Example: kitlore "


def walked(words: tuple[str, ...], command: object) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield each command's words and itself."""
    if isinstance(command, TyperGroup):
        for name, one in command.commands.items():
            yield from walked((*words, name), one)
    else:
        yield words, command


COMMANDS = dict(walked((), typer.main.get_command(app.build())))
GROUPS = sorted({words[:1] for words in COMMANDS if len(words) > 1})


def example(words: tuple[str, ...]) -> str:
    """Return the example in a command's help."""
    lines = [line.strip() for line in str(COMMANDS[words].help).splitlines()]
    (found,) = (line for line in lines if line.startswith(EXAMPLE))
    return found.removeprefix(EXAMPLE)


def test_every_word_is_there() -> None:
    assert {words[0] for words in COMMANDS} == set(app.WORDS)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_help_is_one_sentence_an_example_and_fits(
    words: tuple[str, ...], call: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")

    result = call(*words, "--help")

    assert result.code == 0
    lines = result.out.splitlines()
    assert f"  {EXAMPLE}{example(words)}" in lines, "the example is broken in two"
    assert max(map(len, lines)) <= WIDTH


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_the_example_in_the_help_can_be_typed(words: tuple[str, ...]) -> None:
    typed = shlex.split(example(words))

    assert tuple(typed[: len(words)]) == words
    COMMANDS[words].make_context("kitlore", typed[len(words) :])  # refuses what it doesn't know


@pytest.mark.parametrize("words", [(), *GROUPS], ids=" ".join)
def test_what_a_group_lists_is_not_cut_short(words: tuple[str, ...], call: Run) -> None:
    listed = call(*words, "--help").out.partition("Commands:\n")[2]

    assert listed
    assert [line for line in listed.splitlines() if line.endswith("...")] == []


def test_the_words_are_listed_in_their_order(call: Run) -> None:
    listed = call("--help").out.partition("Commands:\n")[2]

    assert [line.split()[0] for line in listed.splitlines() if line.strip()] == list(app.WORDS)


def test_without_a_word_it_shows_what_there_is(call: Run) -> None:
    assert call() == call("--help")


def test_the_version(call: Run) -> None:
    assert call("--version").out == f"kitlore {__version__}\n"


@pytest.mark.parametrize(
    "words",
    [("brew",), ("item", "brew"), ("item",), ("item", "see"), ("item", "list", "--brew")],
    ids=" ".join,
)
def test_a_wrong_call_says_how_to_call_it(words: tuple[str, ...], call: Run) -> None:
    result = call(*words)

    assert (result.code, result.out) == (2, "")
    assert result.err.startswith("Usage: kitlore")


@pytest.mark.parametrize(
    "place",
    [
        ("-w", "{}", "person", "list"),
        ("person", "list", "-w", "{}"),
        ("person", "-w", "{}", "list"),
        ("--workspace", "{}", "person", "list"),
        ("person", "list", "--workspace={}"),
    ],
    ids=" ".join,
)
def test_the_workspace_is_named_before_and_after_the_command(
    place: tuple[str, ...], run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv("KITLORE_WORKSPACE")
    monkeypatch.chdir(tmp_path)
    assert run("person", "list").code == 2

    assert "jp" in run(*(word.format(studio) for word in place)).out


def test_the_nearest_workspace_above_is_taken(
    run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("KITLORE_WORKSPACE")
    monkeypatch.chdir(studio / "backups")

    assert "jp" in run("person", "list").out


def test_what_follows_two_dashes_is_no_option(run: Run) -> None:
    assert run("log", "CC-01", "--", "-w", "blinks").code == 0

    assert run("fault", "see", 2, "--json").json["line"]["text"] == "-w blinks"


@pytest.mark.parametrize(
    "words", [("--by", "S.L.", "person", "list"), ("person", "list", "--by", "S.L.")], ids=" ".join
)
def test_reading_asks_nobody_who_they_are(words: tuple[str, ...], run: Run) -> None:
    assert run(*words).code == 0


def test_who_writes_is_kept(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    run("person", "add", "S.L.")
    run("person", "add", "A.B.", "--by", "S.L.")
    monkeypatch.setenv("KITLORE_BY", "A.B.")
    run("person", "add", "C.D.")

    writers = [
        run("history", "person", name, "--json").json[0]["who"] for name in ("A.B.", "C.D.")
    ]

    assert writers == ["S.L.", "A.B."]


def test_somebody_unknown_writes_nothing(run: Run) -> None:
    result = run("--by", "Q.", "person", "add", "R.")

    assert result.code == 2
    assert result.err == "No person 'Q.'. Known are: jp. Add one with 'kitlore person add'.\n"
    assert "R." not in run("person", "list").out


def test_every_family_of_errors_has_its_exit_code() -> None:
    families = {*errors.KitloreError.__subclasses__(), *errors.ConflictError.__subclasses__()}

    assert set(failures.CODES) == families
    assert set(failures.CODES.values()) == {failures.WRONG_CALL, failures.NOT_NOW}


def test_a_defect_of_ours_leaves_its_trace_and_no_other(
    run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_place: object) -> None:
        msg = "a defect"
        raise RuntimeError(msg)

    monkeypatch.setattr(desk, "now", broken)

    result = run("show", "next")

    log = studio / "kitlore.log"
    assert (result.code, result.out) == (4, "")
    assert result.err == f"That is a defect of kitlore, not of yours. Its trace is in {log}.\n"
    assert "RuntimeError: a defect" in log.read_text(encoding="utf-8")
    log.unlink()


def test_a_base_that_is_gone_is_no_wrong_call(run: Run, studio: Path) -> None:
    (studio / "kitlore.db").unlink()

    result = run("item", "list")

    assert result.code == 3
    assert "kitlore.db is missing." in result.err


def test_nothing_is_coloured_where_nobody_looks(run: Run) -> None:
    for words in (("item", "list"), ("item", "see", "CC-01"), ("find", "pink"), ("item", "-h")):
        assert "\x1b" not in run(*words).out


def process(*words: str, **options: Any) -> subprocess.CompletedProcess[str]:  # noqa: ANN401
    """Run the command as a program of its own, with all that is shipped."""
    command = [sys.executable, "-m", "kb", *words]
    return subprocess.run(command, check=False, text=True, stderr=subprocess.PIPE, **options)


@pytest.mark.slow
def test_it_runs_as_a_program(call: Run, tmp_path: Path) -> None:
    made = process("init", "studio", "--zone", "UTC", stdout=subprocess.PIPE, cwd=tmp_path)
    assert (made.returncode, made.stderr) == (0, "")

    listed = process("entries", "list", "--json", stdout=subprocess.PIPE, cwd=tmp_path / "studio")

    shipped = {path.stem for path in (Path(__file__).parents[2] / "entries").glob("*.md")}
    slugs = {one["slug"] for one in json.loads(listed.stdout)}
    assert slugs == shipped - {"README", "glossary"}
    found = call("find", "everything looks pink", "--json", "-w", tmp_path / "studio").json
    assert found["results"][0]["id"] == "display-colour-shift"


@pytest.mark.slow
def test_a_reader_who_goes_away_gets_no_trace(studio: Path) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)

    done = process("item", "list", stdout=write_end, env={**os.environ, "TERM": "dumb"})

    os.close(write_end)
    assert (done.returncode, done.stderr) == (1, "")
    assert not (studio / "kitlore.log").exists()
