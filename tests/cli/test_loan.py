"""`loan`: lent, back, overdue, mended."""

import pytest
from calls import Refused, Run


@pytest.fixture
def lent(run: Run) -> Run:
    """Return what runs the command where MM-01 is away and overdue."""
    words = ("loan", "lend", "MM-01", "the school", "--due", "2026-11-18")
    assert run(*words, "--note", "with stand", "--at", "2026-11-10 09:00").out == (
        "Loan 1: MM-01 is with the school.\n"
    )
    return run


def test_what_is_away_is_listed(lent: Run) -> None:
    (line,) = lent("loan", "list", "--json").json

    assert (line["name"], line["borrower"], line["due"]) == ("MM-01", "the school", "2026-11-18")
    listed = " ".join(lent("loan", "list").out.split())
    assert listed.endswith("1 MM-01 the school 2026-11-10 2026-11-18")
    assert "fit, with the school" in lent("item", "list").out


def test_it_is_overdue_the_day_after(lent: Run) -> None:
    assert "MM-01" in lent("loan", "list", "--overdue").out
    lent("loan", "change", 1, "--due", "2026-11-19")
    assert lent("loan", "list", "--overdue").out == "Nothing is overdue.\n"


def test_what_came_back_is_away_no_more_and_stays_on_record(lent: Run) -> None:
    assert lent("loan", "back", "MM-01", "--at", "10:00").out == "MM-01 is back (loan 1).\n"

    assert lent("loan", "list").out == "Nothing is away.\n"
    assert "2026-11-19 10:00" in lent("loan", "list", "--item", "MM-01").out
    assert lent("loan", "list", "--item", "CC-01").out == "Never lent.\n"


def test_taken_back_by_a_slip(lent: Run) -> None:
    lent("loan", "back", "MM-01")

    assert lent("loan", "change", 1, "--back", "").out == "Loan 1 is changed.\n"

    assert [line["name"] for line in lent("loan", "list", "--json").json] == ["MM-01"]


def test_the_wrong_item_and_time(lent: Run) -> None:
    lent("loan", "change", 1, "--item", "CC-02", "--out", "2026-11-11", "--borrower", "the club")

    (line,) = lent("loan", "list", "--json").json
    assert (line["name"], line["borrower"]) == ("CC-02", "the club")
    assert line["out_at"] == "2026-11-11T00:00:00+00:00"


def test_what_is_away_is_not_lent_again(lent: Run) -> None:
    result = lent("loan", "lend", "MM-01", "the club")

    assert result.code == 2
    assert result.err.startswith("MM-01 is with the school since")


def test_the_second_writer_is_told_what_the_first_changed(lent: Run) -> None:
    lent("loan", "change", 1, "--due", "2026-12-01", "--seen", 1)

    for words in (("change", 1, "--due", "2026-12-02"), ("back", "MM-01")):
        result = lent("loan", *words, "--seen", 1)
        assert result.code == 2
        assert "jp: due '2026-11-18' -> '2026-12-01'." in result.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("lend", "MM-01"), "Usage: kitlore loan lend"),
        (("lend", "MM-99", "x"), "No item 'MM-99'."),
        (("lend", "MM-01", ""), "borrower: it is empty."),
        (("lend", "MM-01", "x", "--due", "soon"), "due: 'soon' is no day."),
        (("back", "MM-01"), "MM-01 is not on loan."),
        (("list", "--item", "MM-99"), "No item 'MM-99'."),
        (("change", "9", "--due", "2026-12-01"), "No loan '9'."),
        (("change", str(10**20), "--due", "2026-12-01"), "No loan '1000"),
        (("change", "9"), "option: say what to change"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("loan", *words).startswith(told)
