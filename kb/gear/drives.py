"""Drives: the sustained write speed measured from time to time."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import Draft, Line, Moment, OptionalText, check
from kb.gear import lookup
from kb.gear.drafts import Rate
from kb.records import journal
from kb.records.tables.gear import Item
from kb.records.tables.use import DriveTest

DRIVE = "drive"


class DriveTestDraft(Draft):
    """What a test measured: bytes per second, or typed like '182 MB/s'."""

    write_rate: Rate
    note: OptionalText = None


class DriveTestSlipDraft(DriveTestDraft):
    """What may be mended in a test: the drive and the time too."""

    item: Line
    at: Moment


@dataclass(frozen=True)
class DriveTestLine:
    """A test in a list.

    Attributes:
        number: The test's number.
        version: The version that is shown.
        at: When it was measured.
        write_rate: Sustained, in bytes per second.
        note: What else was said.
    """

    number: int
    version: int
    at: datetime
    write_rate: int
    note: str | None


def add_test(
    session: Session, typed: str, write_rate: int | str, at: datetime, note: str | None = None
) -> int:
    """Record how fast a drive was written to, and return the test's number.

    Args:
        session: The unit of work.
        typed: The drive's code or name.
        write_rate: Sustained, in bytes per second, or typed like '182 MB/s'.
        at: When it was measured.
        note: What else there is to say.

    Raises:
        InvalidError: The rate is none, or the item is no drive.
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    draft = check(DriveTestDraft, {"write_rate": write_rate, "note": note})
    lookup.require_class(session, item, DRIVE, "item")
    test = DriveTest(item_id=item.key, at=at, **draft.model_dump())
    session.add(test)
    session.flush()
    return test.key


def change_test(
    session: Session, number: int, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Mend a slip in a test: the wrong drive scanned, a digit too many; the rest stays.

    Args:
        session: The unit of work.
        number: The test's number.
        values: The fields of `DriveTestSlipDraft` to change.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen.
        InvalidError: A field is wrong, or the item is no drive.
        NotFoundError: There is no such test or item.
    """
    test = journal.for_change(session, DriveTest, number, seen)
    typed = {"write_rate": test.write_rate, "note": test.note, "at": test.at}
    code = session.get_one(Item, test.item_id).code
    draft = check(DriveTestSlipDraft, {**typed, "item": code, **values})
    item = lookup.item(session, draft.item)
    lookup.require_class(session, item, DRIVE, "item")
    test.item_id = item.key
    for name in typed:
        setattr(test, name, getattr(draft, name))
    session.flush()


def tests_of(session: Session, typed: str) -> tuple[DriveTestLine, ...]:
    """Return the tests of a drive, the newest first.

    Raises:
        NotFoundError: The item is unknown.
    """
    found = session.scalars(
        select(DriveTest)
        .where(DriveTest.item_id == lookup.item(session, typed).key)
        .order_by(col(DriveTest.at).desc(), col(DriveTest.id).desc()),
    )
    return tuple(
        DriveTestLine(test.key, test.version, test.at, test.write_rate, test.note)
        for test in found
    )
