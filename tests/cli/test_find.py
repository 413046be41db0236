"""`find`: by symptom, one query or a line each; how an answer reads and how a call ends."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from calls import Refused, Run

from kb.cli import find
from kb.search import similar

PINK = "display-colour-shift"


def ids(found: Any, kind: str = "entry") -> list[str]:  # noqa: ANN401 - as it was printed
    """Return the ids of one kind in an answer."""
    return [one["id"] for one in found["results"] if one["kind"] == kind]


def test_the_first_answer_comes_with_its_fixes(run: Run) -> None:
    result = run("find", "everything", "looks", "pink")

    assert result.code == 0
    lines = [line.strip() for line in result.out.splitlines()]
    assert lines[1].startswith("Wrong colours after start-up")
    assert "1. Replug the video lead at the computer (replug)" in lines
    assert "20 s, at worst 45 s; interrupts this source; trade practice, not tried here" in lines
    assert any(line.startswith("You should see: ") for line in lines)


def test_json_has_the_form_that_scripts_rely_on(run: Run) -> None:
    found = run("find", "everything looks pink", "--json").json

    assert set(found) == {"query", "confident", "lead", "corrections", "question", "results"}
    assert (found["query"], found["confident"]) == ("everything looks pink", True)
    first = found["results"][0]
    assert (first["kind"], first["id"]) == ("entry", PINK)
    assert {"title", "score", "why", "fixes"} <= set(first)
    assert first["fixes"][0]["key"] == "replug"


def test_gear_and_past_faults_follow_the_entries(run: Run) -> None:
    found = run("find", "greenish CC-01", "--json").json

    kinds = [one["kind"] for one in found["results"]]
    assert kinds == sorted(kinds, key=["entry", "item", "fault"].index)
    assert ids(found, "item")[0] == run("item", "see", "CC-01", "--json").json["line"]["code"]
    assert ids(found, "fault") == ["1"]
    shown = run("find", "greenish CC-01").out
    assert "\nGear\n- CC-01" in shown
    assert "\nPast faults\n- 2026-11-19 CC-01: the picture is greenish (fault 1)\n" in shown


def test_nothing_found_is_the_answer_no_and_is_kept(run: Run) -> None:
    result = run("find", "qqqq", "xvxv")

    assert result.code == 1
    assert result.out.splitlines() == [
        "Nothing sure. No entry has these words.",
        'Log it anyway: kitlore log CODE "what you see"',
    ]
    (wanted,) = run("entries", "wanted", "--json").json
    assert (wanted["query"], wanted["times"]) == ("qqqq xvxv", 1)


@pytest.mark.parametrize("typed", ["CC-01", "cc1"])
def test_the_name_of_a_thing_is_told_and_is_no_entry_to_write(typed: str, run: Run) -> None:
    assert "CC-01 is a thing: kitlore item see CC-01" in run("find", typed).out
    assert run("entries", "wanted", "--json").json == []


def test_what_was_logged_just_now_is_found(run: Run) -> None:
    run("log", "MM-01", "xylophone in the tiles")

    assert ids(run("find", "xylophone", "--json").json, "fault") == ["2"]


def test_the_area_comes_first_and_hides_nothing(run: Run) -> None:
    plain = run("find", "no picture", "--json").json

    areas = [one["area"] for one in plain["results"] if one["kind"] == "entry"]
    other = next(area for area in areas if area != areas[0])
    led = run("find", "no picture", "--area", other, "--json").json

    assert led["results"][0]["area"] == other
    assert len(ids(led)) == len(ids(plain))


def test_the_item_at_hand_lifts_the_entries_of_its_class(run: Run) -> None:
    def score(*words: str) -> float:
        found = run("find", "green picture", *words, "--json").json
        return next(float(one["score"]) for one in found["results"] if one["id"] == PINK)

    assert score("--item", "CC-01") > score() == score("--item", "HD-04")


def test_one_query_a_line_gives_one_object_a_line(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    # One search alone leaves the second list out, for its start.
    monkeypatch.setattr(similar, "installed", lambda: False)
    lines = [
        "everything looks pink",
        "",
        json.dumps({"query": "hum", "area": "Audio", "item": "CC-01"}),
        "qqqqzzzz",
    ]

    result = run("find", "--stdin", stdin="\n".join(lines))

    answers = [json.loads(line) for line in result.out.splitlines()]
    assert result.code == 0
    assert [one["query"] for one in answers] == ["everything looks pink", "hum", "qqqqzzzz"]
    assert ids(answers[0])[0] == PINK
    assert answers[0] == run("find", "everything looks pink", "--json").json
    assert answers[2]["results"] == []


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('{"query": 5}', "query: it is missing, or no text."),
        ('{"query": "hum"', "line: it is no JSON"),
        ('{"query": "hum", "item": "CC-99"}', "No item 'CC-99'."),
        ('{"query": "hum", "item": 5}', "item: it is no text."),
    ],
)
def test_a_bad_line_gets_its_sentence_and_the_others_their_answers(
    line: str, told: str, run: Run
) -> None:
    result = run("find", "--stdin", stdin=f"{line}\nhum\n")

    bad, good = (json.loads(one) for one in result.out.splitlines())
    assert bad["error"].startswith(told)
    assert ids(good)
    assert result.code == 2


def _removed(index: Path) -> None:
    shutil.rmtree(index)


def _scribbled(index: Path) -> None:
    for path in filter(Path.is_file, index.rglob("*")):
        path.write_bytes(b"\x00" * 64)


@pytest.mark.parametrize("spoil", [_removed, _scribbled])
def test_the_index_heals_itself(spoil: Callable[[Path], None], run: Run, studio: Path) -> None:
    before = run("find", "greenish", "--json").json

    spoil(studio / "index")

    assert run("find", "greenish", "--json").json == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "words: say what you see or hear."),
        ((" ",), "words: say what you see or hear."),
        (("pink", "--item", "CC-99"), "No item 'CC-99'."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("find", *words).startswith(told)


def test_a_question_is_shown_and_answered_by_its_number(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = run("find", "it does not work").out
    assert "\nWhere is it?\n1. " in shown
    assert "None of these" in shown

    monkeypatch.setattr(find, "_is_terminal", lambda: True)
    answered = run("find", "it does not work", stdin="1\n\n").out
    assert answered.count("\n1. ") > shown.count("\n1. ")


def test_a_slip_is_read_as_the_word_and_left_where_one_says_so(run: Run) -> None:
    shown = run("find", "everythng looks pinkk").out
    assert "Read 'pinkk' as 'pink'. Not so? Say --as-typed.\n" in shown
    assert run("find", "pinkk", "--json").json["results"][0]["id"] == PINK

    plain = run("find", "pinkk", "--as-typed", "--json").json
    assert plain["corrections"] == []
