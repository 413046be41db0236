"""What worked before: counted by fix, on the item and on others of its model."""

from datetime import timedelta

import pytest
from builders import a_model, an_item
from fault_builders import FAILED, NOW, a_fault, a_try, an_entry
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.faults import attempts, cures

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def _studio(session: Session) -> None:
    an_entry(session)
    for name in ("CC-01", "CC-02"):
        an_item(session, name)
    an_item(session, "DP-01", model=a_model(session, maker="Other", name="1"))


def cured(session: Session, item: str, days: int, **over: object) -> int:
    """Log a fault so many days before now, try a fix, and return the attempt."""
    at = NOW - days * DAY
    values = {"entry": "display-no-signal", **over}
    return a_try(session, a_fault(session, item, at), at=at, **values)  # type: ignore[arg-type]


def test_a_fix_is_told_by_its_heading_and_how_often_it_worked(session: Session) -> None:
    for days in (30, 20, 10):
        cured(session, "CC-01", days)
    cured(session, "CC-02", 5)

    (line,) = cures.cures_of(session, "CC-01")

    assert (line.title, line.entry) == ("Replug it", "display-no-signal")
    assert (line.here, line.last_here) == (3, NOW - 10 * DAY)
    assert (line.alike, line.last_alike) == (1, NOW - 5 * DAY)
    assert line.fault == 3  # the last here, not the last of all


def test_what_worked_here_comes_before_what_worked_often_elsewhere(session: Session) -> None:
    for days in (4, 3, 2):
        cured(session, "CC-02", days, fix="restart")
    cured(session, "CC-01", 90, fix="swap")

    found = cures.cures_of(session, "CC-01")

    assert [line.title for line in found] == ["Swap the lead", "Restart"]
    assert (found[1].here, found[1].last_here) == (0, None)
    assert len(cures.cures_of(session, "CC-01", limit=1)) == 1


def test_what_failed_or_was_struck_out_or_is_of_another_model_counts_nowhere(
    session: Session,
) -> None:
    cured(session, "CC-01", 3, outcome=FAILED)
    attempts.strike_attempt(session, cured(session, "CC-01", 2), "other fault", NOW)
    cured(session, "DP-01", 1)

    assert cures.cures_of(session, "CC-01") == ()


def test_what_was_done_in_words_is_told_in_them(session: Session) -> None:
    at = NOW - DAY
    number = a_fault(session, "CC-01", at)
    values = {"what": "re-seated the card", "outcome": "worked"}
    attempts.record_attempt(session, number, values, at)

    (line,) = cures.cures_of(session, "CC-01")

    assert (line.title, line.entry, line.text) == (
        "re-seated the card",
        "",
        "five is greenish since power-up",
    )


def test_of_a_model_that_many_share_the_newest_attempts_are_looked_at(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cures, "_MANY_UNITS", 1)
    monkeypatch.setattr(cures, "_NEWEST", 2)
    for days in (4, 3, 2):
        cured(session, "CC-02", days)

    (line,) = cures.cures_of(session, "CC-01")

    assert (line.alike, line.last_alike) == (2, NOW - 2 * DAY)


def test_an_unknown_item_is_named(session: Session) -> None:
    with pytest.raises(NotFoundError, match="CC-99"):
        cures.cures_of(session, "CC-99")
