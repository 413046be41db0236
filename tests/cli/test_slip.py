"""`fault correct`, `merge`, `retell`, `strike`: slips are mended, what was stays known."""

import pytest
from calls import Refused, Run

HUGE = str(10**20)


@pytest.fixture
def tried(run: Run) -> Run:
    """Return what runs the command where something was tried and did not work."""
    assert run("fault", "try", 1, "--what", "waited", "--no-good").code == 0
    return run


def state(run: Run) -> str:
    """Return the state of fault 1."""
    return str(run("fault", "see", 1, "--json").json["line"]["state"])


def test_a_report_is_corrected_and_the_old_one_stays_known(run: Run) -> None:
    corrected = run(
        *("fault", "correct", 1, "--item", "CC-02", "--text", "greenish all over"),
        *("--noticed", "08:30", "--effect", "degraded"),
    )

    assert corrected.out == "Fault 1 is corrected.\n"
    line = run("fault", "see", 1, "--json").json["line"]
    assert (line["item"], line["text"], line["effect"]) == (
        "CC-02",
        "greenish all over",
        "degraded",
    )
    assert line["noticed_at"] == "2026-11-19T08:30:00+00:00"
    last = run("history", "fault", 1, "--json").json[-1]["changes"]
    assert last["text"] == ["the picture is greenish", "greenish all over"]
    assert last["seen_item_id"] == ["CC-01", "CC-02"]


def test_a_fault_logged_by_mistake_is_taken_back_and_brought_back(run: Run) -> None:
    said = run("fault", "mistaken", 1).out
    assert "Fault 1 is taken back and counts nowhere." in said
    assert "No fault." in run("fault", "list").out
    assert "mistaken" in run("fault", "list", "--state", "mistaken").out

    assert "Fault 1 is back and counts." in run("fault", "mistaken", 1, "--undo").out
    assert "No fault." not in run("fault", "list").out


def test_two_reports_become_one_and_both_numbers_lead_there(run: Run) -> None:
    run("log", "CC-01", "five is greenish")

    assert run("fault", "merge", 2, 1).out == "Fault 2 is one with fault 1.\n"

    assert [one["number"] for one in run("fault", "list", "--json").json] == [1]
    assert run("fault", "see", 2, "--json").json["line"]["number"] == 1


def test_the_wrong_button(tried: Run) -> None:
    assert tried("fault", "retell", 1, "--worked").out == "Attempt 1: worked.\n"
    assert state(tried) == "watched"
    assert tried("fault", "retell", 1, "--no-good").out == "Attempt 1: did not work.\n"
    assert state(tried) == "open"


def test_an_attempt_that_was_never_made_is_struck_out(tried: Run) -> None:
    tried("fault", "retell", 1, "--worked")

    assert tried("fault", "strike", 1, "--reason", "wrong fault").out == (
        "Attempt 1 is struck out.\n"
    )

    assert state(tried) == "open"
    assert "waited (struck out: wrong fault)" in " ".join(tried("fault", "see", 1).out.split())


def test_what_says_so_already_is_not_told_again(tried: Run) -> None:
    result = tried("fault", "retell", 1, "--no-good")

    assert (result.code, result.err) == (2, "Attempt 1 says 'did not work' already.\n")


def test_the_second_writer_is_told_what_the_first_changed(tried: Run) -> None:
    tried("fault", "retell", 1, "--worked", "--seen", 1)

    result = tried("fault", "strike", 1, "--reason", "wrong fault", "--seen", 1)

    assert result.code == 2
    assert "jp: outcome 'did not work' -> 'worked'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("correct", "1"), "option: say what to change"),
        (("correct", "9", "--text", "x"), "No fault '9'."),
        (("correct", "1", "--text", ""), "text: it is empty."),
        (("correct", "1", "--item", "CC-99"), "No item 'CC-99'."),
        (("correct", "1", "--noticed", "2027-01-01"), "noticed at: that is in the future."),
        (("merge", "1", "1"), "Faults 1 and 1 are one already."),
        (("merge", "1", "9"), "No fault '9'."),
        (("merge", "1"), "Usage: kitlore fault merge"),
        (("retell", "1"), "outcome: say --worked or --no-good."),
        (("retell", "9", "--worked"), "No attempt '9'."),
        (("retell", HUGE, "--worked"), "No attempt '1000"),
        (("strike", "9", "--reason", "x"), "No attempt '9'."),
        (("strike", "9"), "Usage: kitlore fault strike"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("fault", *words).startswith(told)
