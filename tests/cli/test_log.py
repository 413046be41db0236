"""`log`: a fault is reported, and what fits is shown at once."""

import pytest
from calls import Refused, Run

from kb.cli import finding
from kb.errors import StorageError


def test_a_fault_is_logged_and_what_fits_is_shown_with_its_first_fix(run: Run) -> None:
    result = run("log", "CC-02", "everything", "looks", "pink")

    assert result.code == 0
    lines = result.out.splitlines()
    assert lines[0] == "Fault 2 is logged."
    assert lines[1].startswith("- Wrong colours after start-up")
    assert any(
        line.startswith("  Replug the video lead at the computer (replug)") for line in lines
    )
    assert lines[-2:] == [
        "All steps: kitlore entries see display-colour-shift",
        "Tried something? kitlore fault try 2 FIX --entry SLUG --worked",
    ]


def test_json_gives_the_number_and_what_fits(run: Run) -> None:
    found = run("log", "CC-02", "everything looks pink", "--json").json

    assert found["fault"] == 2
    assert found["fitting"][0]["id"] == "display-colour-shift"
    assert len(found["fitting"]) <= 3


def test_all_that_is_said_is_kept(run: Run) -> None:
    run("person", "add", "S.L.")
    run(
        *("log", "HD-04", "crackles when moved", "--end", "A", "--effect", "one source lost"),
        *("--minutes-lost", 5, "--reporter", "S.L.", "--entry", "cable-intermittent"),
        *("--at", "2026-11-18 20:15"),
    )

    page = run("fault", "see", 2, "--json").json
    line = page["line"]
    assert (line["item"], page["end"], line["effect"]) == ("HD-04", "A", "one source lost")
    assert (line["minutes_lost"], line["reporter"]) == (5, "S.L.")
    assert (line["entry"], line["noticed_at"]) == (
        "cable-intermittent",
        "2026-11-18T20:15:00+00:00",
    )


def test_a_fault_may_be_seen_at_a_place_only(run: Run) -> None:
    run("log", "--place", "rack R1", "smells", "burnt")

    line = run("fault", "see", 2, "--json").json["line"]
    assert (line["item"], line["place"], line["text"]) == ("", "House/rack R1", "smells burnt")


def test_a_retry_with_the_same_mark_logs_nothing_twice(run: Run) -> None:
    for _ in range(2):
        assert run("log", "CC-01", "blinks", "--key", "k1", "--json").json["fault"] == 2

    assert len(run("fault", "list", "--json").json) == 2


def test_it_stays_logged_where_the_search_fails(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_words: object) -> None:
        raise StorageError("The index can't be read.")

    monkeypatch.setattr(finding, "ask", fails)

    result = run("log", "CC-01", "blinks")

    assert result.code == 0
    assert result.out.startswith("Fault 2 is logged.\nNo entry fits these words.\n")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "Usage: kitlore log"),
        (("CC-01",), "text: say what you see, after the item."),
        (("CC-01", " "), "text: say what you see, after the item."),
        (("CC-99", "blinks"), "No item 'CC-99'."),
        (("--place", "attic", "blinks"), "No place 'attic'."),
        (("CC-01", "x", "--end", "A"), "end: only a cable has ends."),
        (("CC-01", "x", "--effect", "much"), "Usage: kitlore log"),
        (("CC-01", "x", "--minutes-lost", "-1"), "Usage: kitlore log"),
        (("CC-01", "x", "--reporter", "Q."), "No person 'Q.'."),
        (("CC-01", "x", "--entry", "nope"), "No entry 'nope'."),
        (("CC-01", "x", "--at", "25:00"), "time: '25:00' is no time."),
        (("CC-01", "x", "--at", "2026-03-29 01:30"), "time: 2026-03-29 01:30 doesn't exist"),
        (("CC-01", "x", "--at", "2027-01-01 10:00"), "noticed at: that is in the future."),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("log", *words).startswith(told)
