"""`fault`: listed, shown, fixes tried, closed, opened again."""

import pytest
from calls import Refused, Run

FITTING = "display-colour-shift"
HUGE = str(10**20)


def state(run: Run, number: int = 1) -> str:
    """Return the state of a fault."""
    return str(run("fault", "see", number, "--json").json["line"]["state"])


def test_faults_are_listed_newest_first(run: Run) -> None:
    run("log", "--place", "drawer C1", "smells burnt")

    lines = [" ".join(line.split()) for line in run("fault", "list").out.splitlines()]

    assert lines == [
        "No Noticed State Where Reported",
        "2 2026-11-19 15:30 open House/drawer C1 smells burnt",
        "1 2026-11-19 09:00 open CC-01 the picture is greenish",
    ]


def test_a_long_report_is_cut_short_in_a_list_only(run: Run) -> None:
    told = "the picture breaks up in small squares whenever somebody walks past"
    run("log", "CC-01", told)

    assert f"{told[:39]}…" in run("fault", "list").out
    assert told in " ".join(run("fault", "see", 2).out.split())


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ((), [2, 1]),
        (("--state", "open"), [2]),
        (("--state", "closed"), [1]),
        (("--state", "watched"), []),
        (("--item", "CC-01"), [1]),
        (("--limit", "1"), [2]),
    ],
)
def test_a_list_is_narrowed(words: tuple[str, ...], numbers: list[int], run: Run) -> None:
    run("log", "MM-01", "stays black")
    run("fault", "close", 1, "--kind", "handling")

    assert [one["number"] for one in run("fault", "list", *words, "--json").json] == numbers


def test_an_empty_list_says_so(run: Run) -> None:
    assert run("fault", "list", "--item", "MM-01").out == "No fault.\n"


def test_a_fix_that_worked_has_the_fault_watched(run: Run) -> None:
    failed = run("fault", "try", 1, "replug", "--entry", FITTING, "--no-good", "--at", "10:00")
    assert failed.out == "Attempt 1 on fault 1: did not work. It stays open.\n"
    # The entry of the first fix is the fault's from then on.
    worked = run("fault", "try", 1, "tint-off", "--worked", "--minutes", 2.5, "--at", "10:05")
    assert worked.out == "Attempt 2 on fault 1: worked. It is watched from now on.\n"

    page = run("fault", "see", 1).out
    assert page.startswith("Fault 1: watched\n")
    rows = [" ".join(line.split()) for line in page.splitlines()[-2:]]
    assert rows == [
        f"1 2026-11-19 10:00 jp {FITTING}: replug did not work",
        f"2 2026-11-19 10:05 jp {FITTING}: tint-off worked",
    ]


def test_what_is_in_no_entry_is_said_in_words(run: Run) -> None:
    run("fault", "try", 1, "--what", "turned it by a quarter", "--no-good")

    assert "turned it by a quarter" in run("fault", "see", 1).out
    assert state(run) == "open"


def test_closing_names_the_cause_and_the_item_to_blame(run: Run) -> None:
    closed = run(
        *("fault", "close", 1, "--kind", "own failure", "--item", "HD-04", "--note", "bent pin"),
        *("--minutes-lost", 4, "--restored", "11:00", "--at", "12:00"),
    )

    assert closed.out == "Fault 1 is closed: own failure.\n"
    page = " ".join(run("fault", "see", 1).out.split())
    assert page.startswith("Fault 1: closed")
    for fact in (
        "Minutes lost 4",
        "Restored 2026-11-19 11:00",
        "Closed 2026-11-19 12:00",
        "Cause own failure",
        "Cause item HD-04",
        "Cause in words bent pin",
    ):
        assert fact in page
    assert [one["number"] for one in run("fault", "list", "--item", "HD-04", "--json").json] == [1]


def test_without_an_item_the_one_it_was_seen_on_is_to_blame(run: Run) -> None:
    run("fault", "close", 1, "--kind", "unknown")

    assert run("fault", "see", 1, "--json").json["line"]["cause_item"] == "CC-01"


def test_none_of_ours_is_to_blame(run: Run) -> None:
    run("fault", "close", 1, "--kind", "outside cause", "--item", "none")

    assert "Cause item none of ours" in " ".join(run("fault", "see", 1).out.split())


def test_a_fault_is_opened_again(run: Run) -> None:
    run("fault", "close", 1, "--kind", "handling")

    assert run("fault", "reopen", 1).out == "Fault 1 is open again.\n"

    assert state(run) == "open"


def test_another_cause_is_named_and_it_works_as_before(run: Run) -> None:
    run("fault", "close", 1, "--kind", "handling", "--note", "trodden on")
    since = run("fault", "see", 1, "--json").json["restored_at"]

    told = run("fault", "blame", 1, "--kind", "outside cause", "--item", "none").out

    assert told == "Fault 1 has another cause now: outside cause.\n"
    found = run("fault", "see", 1, "--json").json
    assert (found["restored_at"], found["reopened_at"]) == (since, None)
    assert (found["line"]["state"], found["line"]["cause_kind"]) == ("closed", "outside cause")
    assert "handling -> outside cause" in run("history", "fault", 1).out
    run("fault", "reopen", 1)
    assert "Came back" in run("fault", "see", 1).out


def test_the_second_writer_is_told_what_the_first_changed(run: Run) -> None:
    run("fault", "correct", 1, "--text", "greenish all over", "--seen", 1)

    for words in (("close", 1, "--kind", "handling"), ("correct", 1, "--text", "x")):
        result = run("fault", *words, "--seen", 1)
        assert result.code == 2
        assert "jp: text 'the picture is greenish' -> 'greenish all over'." in result.err


def test_a_closed_fault_takes_no_attempt_and_no_second_cause(run: Run) -> None:
    run("fault", "close", 1, "--kind", "handling")

    attempt = run("fault", "try", 1, "--what", "x", "--worked")
    again = run("fault", "close", 1, "--kind", "handling")

    assert (attempt.code, attempt.err) == (2, "Fault 1 is closed. Reopen it first.\n")
    assert (again.code, again.err) == (
        2,
        "Fault 1 is closed already. To name another cause: kitlore fault blame 1.\n",
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("list", "--state", "broken"), "Usage: kitlore fault list"),
        (("list", "--item", "CC-99"), "No item 'CC-99'."),
        (("see", "9"), "No fault '9'."),
        (("see", HUGE), "No fault '1000"),
        (("see", "0"), "Usage: kitlore fault see"),
        (("see", "one"), "Usage: kitlore fault see"),
        (("try", "1", "replug"), "outcome: say --worked or --no-good."),
        (("try", "1", "--worked"), "fix: name the fix of an entry, or say what was done."),
        (("try", "1", "replug", "--worked"), "entry: say of which entry the fix is."),
        (("try", "1", "dance", "--entry", FITTING, "--worked"), f"fix: '{FITTING}' has no fix"),
        (("try", "1", "x", "--entry", "nope", "--worked"), "No entry 'nope'."),
        (("try", "9", "--what", "x", "--worked"), "No fault '9'."),
        (("try", "1", "--what", "x", "--worked", "--at", "08:00"), "at: that is before"),
        (("close", "1"), "Usage: kitlore fault close"),
        (("close", "1", "--kind", "gremlins"), "Usage: kitlore fault close"),
        (("close", "9", "--kind", "handling"), "No fault '9'."),
        (("close", "1", "--kind", "handling", "--item", "CC-99"), "No item 'CC-99'."),
        (("close", "1", "--kind", "own failure", "--item", "none"), "item: 'own failure' needs"),
        (("close", "1", "--kind", "handling", "--restored", "08:00"), "restored at: it must lie"),
        (("blame", "1", "--kind", "handling"), "Fault 1 has no cause yet."),
        (("blame", HUGE, "--kind", "handling"), "No fault '1000"),
        (("reopen", "1"), "Fault 1 is open already."),
        (("reopen", HUGE), "No fault '1000"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("fault", *words).startswith(told)


@pytest.mark.parametrize(
    "words",
    [
        ("fault", "try", 1, "--what", "prayed", "--worked"),
        ("fault", "close", 1, "--kind", "handling"),
        ("fault", "reopen", 1),
    ],
)
def test_what_was_done_was_not_done_tomorrow(words: tuple[object, ...], refused: Refused) -> None:
    said = refused(*words, "--at", "2026-11-20 10:00")

    assert said.startswith("at: that is in the future. Give a time till now.")
