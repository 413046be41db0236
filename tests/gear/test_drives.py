"""A drive's measured write speed is kept, test by test."""

from datetime import datetime, timedelta

import pytest
from builders import a_drive, an_item
from sqlmodel import Session

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import drives

DAY = timedelta(days=1)


def test_tests_are_listed_newest_first(session: Session, at: datetime) -> None:
    a_drive(session)
    drives.add_test(session, "DR-01", "182 MB/s", at - DAY)
    number = drives.add_test(session, "DR-01", 150_000_000, at, "warm")
    drives.add_test(session, "DR-01", 205_000_000, at - 2 * DAY)
    found = drives.tests_of(session, "DR-01")
    assert [test.write_rate for test in found] == [150_000_000, 182_000_000, 205_000_000]
    assert (found[0].number, found[0].at, found[0].note) == (number, at, "warm")


def test_what_is_no_drive_has_no_test(session: Session, at: datetime) -> None:
    an_item(session)
    an_item(session, "thing", model="")
    with pytest.raises(
        InvalidError, match="CC-01 is of the class call-computer, so it's no drive"
    ):
        drives.add_test(session, "CC-01", 150_000_000, at)
    with pytest.raises(InvalidError, match="thing has no model of a class, so it's no drive"):
        drives.add_test(session, "thing", 150_000_000, at)
    with pytest.raises(NotFoundError, match="No item 'DR-99'"):
        drives.add_test(session, "DR-99", 150_000_000, at)


@pytest.mark.parametrize("rate", ["fast", "", 0, -1])
def test_a_rate_that_is_none_is_refused(session: Session, at: datetime, rate: int | str) -> None:
    a_drive(session)
    with pytest.raises(InvalidError, match="write rate: "):
        drives.add_test(session, "DR-01", rate, at)


def test_a_slip_in_a_test_is_mended(session: Session, at: datetime) -> None:
    a_drive(session)
    a_drive(session, "DR-02")
    number = drives.add_test(session, "DR-01", "1820 MB/s", at)
    drives.change_test(session, number, {"write_rate": "182 MB/s"})
    drives.change_test(session, number, {"item": "DR-02", "at": at - DAY, "note": "cold"}, seen=2)
    assert drives.tests_of(session, "DR-01") == ()
    (test,) = drives.tests_of(session, "DR-02")
    assert (test.write_rate, test.at, test.note) == (182_000_000, at - DAY, "cold")


def test_a_mend_that_does_not_fit_is_refused(session: Session, at: datetime) -> None:
    a_drive(session)
    an_item(session)
    number = drives.add_test(session, "DR-01", "182 MB/s", at)
    with pytest.raises(InvalidError, match="so it's no drive"):
        drives.change_test(session, number, {"item": "CC-01"})
    drives.change_test(session, number, {"note": "warm"})
    with pytest.raises(ConflictError, match="note nothing -> 'warm'"):
        drives.change_test(session, number, {"note": "cold"}, seen=1)
