"""Whatever is given to an option or an argument, no library speaks to the person."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from calls import Result, called
from typer.core import TyperGroup

from kb.cli import app, failures

pytestmark = pytest.mark.slow

WRONG = ("gremlins", "", "-1", "1e400", "2026-99-99", "\x00", "9" * 400, '{"a":', "ä/../\u202e")
# What a library of ours would say, and no one of us.
THEIRS = re.compile(
    r"value error|input should|unable to parse|traceback|pydantic|sqlalchemy|sqlite3|typer|click"
    r"|validation|embedded null|not one of|errno|nonetype|exception|invalid value|usage error"
    r"|<class|object at 0x",
    re.IGNORECASE,
)
# These run on, build for seconds, or put a workspace where they're told to.
HEAVY = {("serve",), ("demo",), ("init",), ("restore",)}
SAID = {"fault": "1", "attempt": "1", "number": "1", "into": "2", "loan": "1", "service": "1"}


def walked(words: tuple[str, ...], command: object) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield each command's words and itself."""
    if isinstance(command, TyperGroup):
        for name, one in command.commands.items():
            yield from walked((*words, name), one)
    else:
        yield words, command


COMMANDS = dict(walked((), typer.main.get_command(app.build())))


def calls(words: tuple[str, ...], command: Any) -> Iterator[list[str]]:  # noqa: ANN401 - Typer's
    """Yield calls of a command, in each of which one value is wrong."""
    arguments = [one for one in command.params if one.param_type_name == "argument"]
    options = [
        one for one in command.params if one.param_type_name == "option" and not one.is_flag
    ]
    right = [SAID.get(one.name, "CC-01") for one in arguments]
    needed = [word for one in options if one.required for word in (one.opts[0], "unknown")]
    for wrong in WRONG:
        for place in range(len(arguments)):
            yield [*words, *needed, "--", *right[:place], wrong, *right[place + 1 :]]
        for option in options:
            yield [*words, *needed, option.opts[0], wrong, "--", *right]


@pytest.fixture(scope="module")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wrong") / "studio"
    assert called("init", folder, "--zone", "UTC", "--log-began", "2026-01-01").code == 0
    for words in (("item", "add", "CC-01"), ("log", "CC-01", "it is dark")):
        assert called("-w", folder, *words).code == 0
    return folder


def theirs(result: Result) -> list[str]:
    """Return what in an answer is a library's, but for the names of commands and their help."""
    said = [line for line in result.err.splitlines() if not line.startswith("All of it: ")]
    return THEIRS.findall("\n".join(said))


@pytest.mark.parametrize("words", [one for one in COMMANDS if one not in HEAVY], ids=" ".join)
def test_no_library_speaks_of_a_wrong_value(
    words: tuple[str, ...], studio: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KITLORE_WORKSPACE", str(studio))
    for given in calls(words, COMMANDS[words]):
        result = called(*given)
        assert result.code != failures.DEFECT, (given, result.err)
        assert not theirs(result), (given, result.err)
        # What was pasted is not poured back over the screen; all that was changed since may be.
        assert len(result.err) < 2_000 or "--seen" in given, given
        assert (result.code == 0) or result.err or result.code == failures.NO, given
    assert not (studio / "kitlore.log").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("serve", "--port", "gremlins"), "--port: 'gremlins' does not fit: give a whole number"),
        (("person", "add", "X", "--role", "boss"), "--role: 'boss' is none of 'reader', 'tech'"),
        (("fault", "see", "one"), "FAULT: 'one' does not fit: give a whole number, like 12."),
        (("fault", "see", "0"), "FAULT: '0' does not fit: 1 is the least."),
        (("fault", "close", "1"), "--kind: it is missing. Give it."),
        (("fault", "close", "1", "--kind"), "--kind: its value is missing. Give it."),
        (("place", "list", "--json=3"), "--json: it takes no value. Leave that out."),
        (("place", "list", "--jsn"), "There is no option --jsn. Near to it: --json."),
        (("fault", "see", "1", "2"), "Too much: 2. Leave it out, or quote it."),
        (("revue",), "There is no command 'revue'. Near to it: 'review'"),
        (("review", "models", "--from", "soon"), "--from: 'soon' is no day. Write year-month-"),
        (("label", "CC-01", "--out", "a\x00b"), "--out: 'a<U+0000>b' is no path."),
        (("serve", "--port", "9" * 400), f"--port: '{'9' * 60}…' does not fit: "),
    ],
    ids=lambda one: " ".join(one)[:30] if isinstance(one, tuple) else "",
)
def test_what_is_wrong_is_said_in_a_sentence_of_ours(words: tuple[str, ...], said: str) -> None:
    result = called(*words)
    assert result.code == failures.WRONG_CALL
    assert said in result.err


def test_a_question_that_is_left_open_ends_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    def leave(_given: object) -> typer.Typer:
        raise typer.Abort

    monkeypatch.setattr(app, "build", leave)
    assert called("find") == Result(failures.NO, "", "")
