"""An item is with one borrower at a time, and comes back."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from builders import BEGAN, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import items, loans, lookup

HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _gear(session: Session) -> None:
    for name in ("CC-01", "CC-02"):
        an_item(session, name)


def lent(session: Session, at: datetime, name: str = "CC-01", **over: str) -> int:
    return loans.lend(session, name, {"borrower": "a school", **over}, at)


def test_an_item_goes_out_and_comes_back(session: Session, at: datetime) -> None:
    number = lent(session, at, due="2026-03-26", note="with its bag")
    (line,) = loans.open_loans(session)
    assert (line.number, line.name, line.borrower) == (number, "CC-01", "a school")
    assert (line.out_at, line.due, line.note) == (at, date(2026, 3, 26), "with its bag")
    assert loans.take_back(session, "CC-01", at + HOUR) == number
    assert loans.open_loans(session) == ()
    (line,) = loans.loans_of(session, "CC-01")
    assert line.back_at == at + HOUR


def test_what_is_away_is_not_lent_again(session: Session, at: datetime) -> None:
    lent(session, at)
    with pytest.raises(
        ConflictError, match=r"CC-01 is with a school since 2026-03-19 12:00 UTC, still \(loan 1\)"
    ):
        lent(session, at + HOUR)
    loans.take_back(session, "CC-01", at + HOUR)
    with pytest.raises(ConflictError, match="until 2026-03-19 13:00 UTC"):
        lent(session, at)
    lent(session, at + HOUR)


def test_what_was_changed_since_it_was_looked_at_is_not_lent(
    session: Session, at: datetime
) -> None:
    seen = lookup.item(session, "CC-01").version
    items.set_state(session, "CC-01", "doubtful", at, "lid loose")
    with pytest.raises(ConflictError, match="doubtful"):
        loans.lend(session, "CC-01", {"borrower": "a school"}, at, seen)
    loans.lend(session, "CC-01", {"borrower": "a school"}, at, seen + 1)


def test_what_is_retired_or_unknown_is_not_lent(session: Session, at: datetime) -> None:
    items.set_state(session, "CC-01", "retired", at, "burnt")
    with pytest.raises(ConflictError, match="CC-01 is retired"):
        lent(session, at)
    with pytest.raises(NotFoundError, match="No item 'CC-99'"):
        lent(session, at, "CC-99")


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({}, "borrower: it is missing"),
        ({"borrower": " "}, "borrower: it is empty"),
        ({"borrower": "a school", "due": "soon"}, "due: 'soon' is no day"),
        ({"borrower": "a school", "who": "x"}, "who: no such field"),
    ],
)
def test_what_does_not_fit_is_told(
    session: Session, at: datetime, values: dict[str, str], sentence: str
) -> None:
    with pytest.raises(InvalidError, match=sentence):
        loans.lend(session, "CC-01", values, at)


def test_what_is_not_away_does_not_come_back(session: Session, at: datetime) -> None:
    with pytest.raises(ConflictError, match="CC-01 is not on loan"):
        loans.take_back(session, "CC-01", at)
    lent(session, at)
    with pytest.raises(ConflictError, match="CC-01 went out later, at 2026-03-19 12:00 UTC"):
        loans.take_back(session, "CC-01", at - HOUR)


def test_what_is_overdue_was_due_before_the_day(session: Session, at: datetime) -> None:
    lent(session, at, due="2026-03-26")
    lent(session, at - HOUR, "CC-02")
    assert [line.name for line in loans.open_loans(session)] == ["CC-02", "CC-01"]
    assert loans.open_loans(session, date(2026, 3, 26)) == ()
    assert [line.name for line in loans.open_loans(session, date(2026, 3, 27))] == ["CC-01"]


def test_a_loan_is_mended(session: Session, at: datetime) -> None:
    number = lent(session, at, due="2026-03-26")
    loans.change_loan(session, number, {"due": "", "borrower": "a festival", "item": "CC-02"})
    (line,) = loans.open_loans(session)
    assert (line.name, line.borrower, line.due) == ("CC-02", "a festival", None)
    assert loans.loans_of(session, "CC-01") == ()


def test_a_loan_taken_back_by_a_slip_is_opened_again(session: Session, at: datetime) -> None:
    number = lent(session, at)
    loans.take_back(session, "CC-01", at + HOUR)
    loans.change_loan(session, number, {"back_at": ""})
    assert [line.number for line in loans.open_loans(session)] == [number]


def test_a_mend_that_contradicts_is_refused(session: Session, at: datetime) -> None:
    first = lent(session, at)
    loans.take_back(session, "CC-01", at + HOUR)
    lent(session, at + 2 * HOUR)
    with pytest.raises(ConflictError, match="CC-01 is with a school"):
        loans.change_loan(session, first, {"back_at": ""})
    with pytest.raises(ConflictError, match="CC-01 is with a school"):
        loans.change_loan(session, first, {"back_at": at + 3 * HOUR})
    with pytest.raises(InvalidError, match="back at: it's before it went out"):
        loans.change_loan(session, first, {"back_at": at - HOUR})
    loans.change_loan(session, first, {"out_at": BEGAN, "back_at": at + 2 * HOUR})


def test_loans_of_an_item_are_listed_newest_first(session: Session, at: datetime) -> None:
    first = lent(session, at)
    loans.take_back(session, "CC-01", at + HOUR)
    second = lent(session, at + HOUR)
    assert [line.number for line in loans.loans_of(session, "CC-01")] == [second, first]


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    number = lent(session, at)
    loans.change_loan(session, number, {"borrower": "a festival"}, seen=1)
    changes: list[Callable[[], object]] = [
        lambda: loans.change_loan(session, number, {"borrower": "the office"}, seen=1),
        lambda: loans.take_back(session, "CC-01", at, seen=1),
    ]
    for change in changes:
        with pytest.raises(ConflictError, match="borrower 'a school' -> 'a festival'"):
            change()


def test_a_loan_is_found_by_its_number_also_after_it_ended(session: Session, at: datetime) -> None:
    number = lent(session, at)
    loans.take_back(session, "CC-01", at + HOUR)

    assert loans.loan_by(session, number).back_at == at + HOUR
    for unknown in (number + 1, 2**80):
        with pytest.raises(NotFoundError, match=f"No loan '{unknown}'"):
            loans.loan_by(session, unknown)
