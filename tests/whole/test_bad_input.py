"""What people paste, scan and mistype, by the real commands: kept, or refused in a sentence."""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from calls import Result, called
from fault_builders import an_entry_text

from kb.gear import codes

Copy = Callable[[Path], Path]

pytestmark = pytest.mark.slow

EMOJI = "the lamp is 🔴 and the 👩🏽‍🚒 came"
ARABIC = "الشاشة سوداء منذ الصباح"
HEBREW = "המסך שחור"
COMBINED = "gru\u0308n und rot"  # in two parts; kept in one, Unicode Standard Annex 15


@pytest.fixture(scope="module")
def shared(demo_copy: Copy, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_copy(tmp_path_factory.mktemp("input") / "studio")


@pytest.fixture
def studio(shared: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("KITLORE_WORKSPACE", str(shared))
    monkeypatch.setenv("KITLORE_BY", "J.P.")
    monkeypatch.setenv("HOME", str(tmp_path))
    yield shared
    log = shared / "kitlore.log"
    defects = log.read_text() if log.exists() else ""
    log.unlink(missing_ok=True)
    assert defects == ""


def rows(folder: Path) -> list[str]:
    """Return all that a base holds, as SQL."""
    with closing(sqlite3.connect(folder / "kitlore.db")) as connection:
        return list(connection.iterdump())


def refused(studio: Path, *words: object, code: int = 2) -> str:
    """Return the sentence of a call that was refused and changed nothing."""
    before = rows(studio)
    result = called(*words)
    assert (result.code, result.out) == (code, ""), result
    assert result.err.strip()
    assert "Traceback" not in result.err
    # What was pasted is not poured back over the screen.
    assert len(result.err) < 2_000
    assert rows(studio) == before
    return result.err


@pytest.mark.parametrize(
    "text", [EMOJI, ARABIC, HEBREW, COMBINED, "a 'quoted' \"one\"; --", "%s {0}"]
)
def test_what_people_write_is_kept_and_found(studio: Path, text: str) -> None:
    assert studio.is_dir()
    number = called("log", "CC-05", text, "--json").json["fault"]
    kept = called("fault", "see", number, "--json").json["line"]["text"]
    assert kept == text.replace("u\u0308", "ü")
    found = called("find", text, "--json").json
    assert str(number) in [hit["id"] for hit in found["results"] if hit["kind"] == "fault"]
    assert text.replace("u\u0308", "ü")[:10] in called("fault", "list", "--limit", 1).out


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("x" * 100_000, "100,000 characters are too many"),
        ("red\x00green", "U+0000"),
        ("red\x1b[31mgreen", "U+001B"),
        ("left \u202eright", "U+202E"),  # turns round what stands beside it
        ("half \ud83d", "U+D83D"),  # half a character
        ("\u200b \u2060", "it is empty"),  # nothing anybody can see
        ("", "say what you see"),
    ],
)
def test_what_no_report_can_hold_is_refused(studio: Path, text: str, told: str) -> None:
    assert told in refused(studio, "log", "CC-05", text)


@pytest.mark.parametrize(
    "typed", ["", " ", "CC-99", "x" * 100_000, "\x00", "🔴", "'; DROP TABLE item; --", "../../etc"]
)
def test_an_item_that_is_none_is_told(studio: Path, typed: str) -> None:
    refused(studio, "log", typed, "acts up")
    refused(studio, "find", "acts up", "--item", typed or "-")
    refused(studio, "item", "see", typed)


@pytest.mark.parametrize("place", range(6))
def test_one_wrong_character_of_a_code_is_seen(studio: Path, place: int) -> None:
    code = called("item", "list", "--json").json[0]["code"]
    for other in codes.ALPHABET:
        if other != code[place]:
            wrong = code[:place] + other + code[place + 1 :]
            result = called("item", "see", wrong)
            assert result.code == 2, wrong
            assert "is no code" in result.err
    assert studio.is_dir()


@pytest.mark.parametrize("text", ["x" * 100_000, "no sound " * 20_000, "\x00\x07", "\u202e", "🔴"])
def test_a_search_takes_anything(studio: Path, text: str) -> None:
    assert studio.is_dir()
    result = called("find", text, "--json")
    assert result.code in (0, 1)
    assert result.err == ""
    assert result.json["query"] == text


def test_many_searches_on_one_input_are_answered_each(studio: Path) -> None:
    lines = [
        "no sound",
        EMOJI,
        '{"query": "pink", "item": "CC-05", "area": "Audio"}',
        "x" * 50_000,
    ]
    result = called("find", "--stdin", stdin="\n".join(lines) + "\n")
    assert (result.code, len(result.out.splitlines())) == (0, 4)
    wrong = [
        '{"query": 5}',
        "{}",
        '{"query": "pink", "item": 5}',
        '{"query": "a", "item": "ZZ-9"}',
        "{",
    ]
    result = called("find", "--stdin", stdin="\n".join([*wrong, "no sound"]) + "\n")
    answers = result.out.splitlines()
    # Every line has its answer, and that one of them was wrong is told.
    assert (result.code, len(answers)) == (2, 6)
    assert ['"error"' in answer for answer in answers] == [True] * 5 + [False]
    assert studio.is_dir()


NUMBERS = [0, -1, 2**31, 2**63, 10**30]


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize(
    "words",
    [
        ("fault", "see", "{}"),
        ("fault", "close", "{}", "--kind", "unknown"),
        ("fault", "merge", "{}", 1),
        ("fault", "merge", 1, "{}"),
        ("fault", "strike", "{}", "--reason", "x"),
        ("fault", "list", "--limit", "{}"),
        ("fault", "see", 1, "--seen", "{}"),
        ("service", "see", "{}"),
        ("show", "cancel", "{}"),
        ("history", "fault", "{}"),
        ("entries", "revisions", "audio-hum", "--diff", "{}"),
    ],
    ids=lambda words: "-".join(map(str, words[:2])),
)
def test_a_number_is_never_too_long(studio: Path, words: tuple[object, ...], number: int) -> None:
    result = called(*(str(word).format(number) for word in words))
    assert result.code in (0, 2), result
    assert "Traceback" not in result.err
    assert studio.is_dir()


def test_a_column_that_is_none_is_told_and_nothing_comes_in(studio: Path, tmp_path: Path) -> None:
    table = tmp_path / "items.csv"
    table.write_text("name,model,colour\nCC-90,Tern 14,pink\n", encoding="utf-8")
    assert "colour" in refused(studio, "table", "in", "items", table)
    table.write_text("name,model\nCC-90,Tern 14\nCC-91,No Such Model\n", encoding="utf-8")
    told = refused(studio, "table", "in", "items", table)
    assert "No Such Model" in told
    assert "3" in told  # the line
    assert "no such field" in refused(studio, "settings", "colour=pink")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("zone = ", "it is no TOML"),
        ('zone = "Mars/Olympus"', "Mars/Olympus"),
        ('colour = "pink"', "no such field"),
        ("hold_days = 0", "hold days"),
        ("\ufeff\x00", "it is no TOML"),
    ],
)
def test_settings_that_are_wrong_are_told_with_their_file(
    tmp_path: Path, content: str, told: str
) -> None:
    (tmp_path / "kitlore.toml").write_text(content, encoding="utf-8")
    result = called("-w", tmp_path, "find", "pink")
    assert result.code == 2
    assert told in result.err
    assert str(tmp_path / "kitlore.toml") in result.err


def test_a_broken_entry_is_told_by_file_and_line_and_none_comes_in(
    studio: Path, tmp_path: Path
) -> None:
    (tmp_path / "whole-one.md").write_text(an_entry_text("whole-one"), encoding="utf-8")
    broken = tmp_path / "broken-one.md"
    text = an_entry_text("broken-one").replace("takes: 30s", "takes: long")
    broken.write_text(text, encoding="utf-8")
    told = refused(studio, "entries", "import", tmp_path)
    assert told.startswith(f"{broken}:9: ")
    assert "line 9" in refused(studio, "entries", "save", broken)
    linted = called("entries", "lint", tmp_path)
    assert linted.code == 1
    assert f"{broken}:9: " in linted.out
    broken.write_bytes(b"\xff\xfe")
    assert "isn't UTF-8" in refused(studio, "entries", "import", tmp_path)


def test_the_demo_twice_says_so_and_changes_nothing(studio: Path) -> None:
    before = {path: path.read_bytes() for path in studio.rglob("*") if path.is_file()}
    result = called("demo", studio, "--no-serve")
    assert (result.code, result.err) == (0, "")
    assert "already. Nothing was changed." in " ".join(result.out.split())
    assert {path: path.read_bytes() for path in studio.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("word", ["init", "demo"])
def test_a_folder_that_holds_something_else_is_left_alone(tmp_path: Path, word: str) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    result = called(word, tmp_path)
    assert (result.code, result.out) == (3, "")
    assert "isn't empty" in result.err
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_where_no_workspace_is_it_says_how_to_make_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("KITLORE_WORKSPACE", raising=False)
    monkeypatch.chdir(tmp_path)
    for named in ((), ("-w", tmp_path / "nowhere")):
        result = called(*named, "find", "pink")
        assert result.code == 2
        assert "kitlore init" in result.err


@pytest.mark.parametrize("encoding", ["utf-8", "ascii", "latin-1"])
def test_bytes_that_are_no_text_stop_nothing(studio: Path, encoding: str) -> None:
    """As a real process in a terminal of another encoding; Unix hands over any byte but nought."""
    env = {**os.environ, "PYTHONIOENCODING": f"{encoding}:strict"}
    for words, given in (
        ([b"find", b"\xff pink", b"--json"], b""),
        ([b"find", b"--stdin"], b"a\xff pink\n" + EMOJI.encode() + b"\n"),
        ([b"fault", b"list"], b""),
    ):
        done = subprocess.run(
            [sys.executable, "-m", "kb", *words],
            input=given,
            env=env,
            capture_output=True,
            check=False,
        )
        assert done.returncode == 0, done
        assert done.stderr == b""
    logged = subprocess.run(
        [sys.executable, "-m", "kb", "log", "CC-05", b"green \xff"],
        env=env,
        capture_output=True,
        check=False,
    )
    assert logged.returncode == 2
    assert b"U+DCFF" in logged.stderr
    assert studio.is_dir()


def test_a_reader_that_goes_away_is_no_defect(studio: Path) -> None:
    assert studio.is_dir()
    call = f"{sys.executable} -m kb entries list | head -n 1"
    done = subprocess.run(["sh", "-c", call], capture_output=True, text=True, check=True)  # noqa: S607 - a shell
    assert len(done.stdout.splitlines()) == 1
    assert done.stderr == ""


def test_nothing_is_asked_where_nobody_sits(tmp_path: Path) -> None:
    result: Result = called("init", tmp_path / "new", stdin="")
    assert (result.code, result.err) == (0, "")
