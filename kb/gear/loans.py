"""Loans: an item goes out, comes back; what is out and what is overdue."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from pydantic import ValidationInfo, field_validator
from sqlalchemy import ColumnElement, func
from sqlmodel import Session, and_, col, or_, select

from kb.checking import (
    Draft,
    Line,
    Moment,
    OptionalDay,
    OptionalMoment,
    OptionalText,
    check,
)
from kb.errors import ConflictError, NotFoundError
from kb.gear import lookup
from kb.records import journal
from kb.records.kinds import ItemState
from kb.records.tables.base import is_key
from kb.records.tables.gear import Item
from kb.records.tables.use import Loan


class LoanDraft(Draft):
    """To whom an item goes, and until which day."""

    borrower: Line
    due: OptionalDay = None
    note: OptionalText = None


class LoanSlipDraft(LoanDraft):
    """What may be mended in a loan: the item and its times too."""

    item: Line
    out_at: Moment
    back_at: OptionalMoment = None

    @field_validator("back_at")
    @classmethod
    def _after_out(cls, value: datetime | None, info: ValidationInfo) -> datetime | None:
        out = info.data.get("out_at")
        if value is not None and out is not None and value < out:
            msg = "it's before it went out. Give a later time."
            raise ValueError(msg)
        return value


@dataclass(frozen=True)
class LoanLine:
    """A loan in a list.

    Attributes:
        number: The loan's number.
        version: The version that is shown.
        code: The item's code.
        name: The item's name.
        borrower: To whom.
        out_at: When it went out.
        due: The day on which it's due back; None where none was said.
        back_at: When it came back; None while it's out.
        note: What else was said.
    """

    number: int
    version: int
    code: str
    name: str
    borrower: str
    out_at: datetime
    due: date | None
    back_at: datetime | None
    note: str | None


def lend(
    session: Session, typed: str, values: Mapping[str, Any], at: datetime, seen: int | None = None
) -> int:
    """Lend an item, and return the loan's number.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        values: The fields of `LoanDraft`, as typed.
        at: When it goes out.
        seen: The version of the item that was looked at.

    Raises:
        ConflictError: Changed since it was seen, away already, was away after `at`, or is retired.
        InvalidError: A field is wrong.
        NotFoundError: The item is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    draft = check(LoanDraft, values)
    if item.state == ItemState.RETIRED:
        raise ConflictError(f"{item.name} is retired. Make it fit again first.")
    _require_here(session, item, at)
    loan = Loan(item_id=item.key, out_at=at, **draft.model_dump())
    session.add(loan)
    session.flush()
    return loan.key


def take_back(session: Session, typed: str, at: datetime, seen: int | None = None) -> int:
    """Record that an item came back, and return the loan's number.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        at: When it came back.
        seen: The version of the loan that was looked at.

    Raises:
        ConflictError: Changed since it was seen, not away, or gone out later than `at`.
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    found = _lines(session, col(Loan.item_id) == item.key, away(None))
    if not found:
        raise ConflictError(f"{item.name} is not on loan. Nothing was changed.")
    loan = journal.for_change(session, Loan, found[0].number, seen)
    if at < loan.out_at:
        raise ConflictError(
            f"{item.name} went out later, at {loan.out_at:%Y-%m-%d %H:%M} UTC. Give a later time."
        )
    loan.back_at = at
    session.flush()
    return loan.key


def change_loan(
    session: Session, number: int, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Mend a loan: another day due, the wrong item scanned, taken back by a slip.

    Args:
        session: The unit of work.
        number: The loan's number.
        values: The fields of `LoanSlipDraft` to change; an empty text empties a field.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, or the item was away meanwhile.
        InvalidError: A field is wrong.
        NotFoundError: There is no such loan or item.
    """
    loan = journal.for_change(session, Loan, number, seen)
    typed = {name: getattr(loan, name) for name in LoanSlipDraft.model_fields if name != "item"}
    code = session.get_one(Item, loan.item_id).code
    draft = check(LoanSlipDraft, {**typed, "item": code, **values})
    item = journal.for_change(session, Item, lookup.item(session, draft.item).key)
    _require_here(session, item, draft.out_at, draft.back_at, but=loan.key)
    loan.item_id = item.key
    for name in typed:
        setattr(loan, name, getattr(draft, name))
    session.flush()


def open_loans(session: Session, overdue_on: date | None = None) -> tuple[LoanLine, ...]:
    """Return what is away, the longest away first.

    Args:
        session: The unit of work.
        overdue_on: Only what was due before that day.
    """
    overdue = [] if overdue_on is None else [col(Loan.due) < overdue_on]
    return _lines(session, away(None), *overdue)


def loans_of(session: Session, typed: str) -> tuple[LoanLine, ...]:
    """Return the loans of an item, the newest first.

    Raises:
        NotFoundError: The item is unknown.
    """
    return _lines(session, col(Loan.item_id) == lookup.item(session, typed).key)[::-1]


def borrowers(session: Session, limit: int = 50) -> tuple[str, ...]:
    """Return who borrowed something before, the last one first.

    Args:
        session: The unit of work.
        limit: How many at most.
    """
    found = session.scalars(
        select(Loan.borrower)
        .group_by(Loan.borrower)
        .order_by(func.max(col(Loan.out_at)).desc(), col(Loan.borrower))
        .limit(limit)
    )
    return tuple(found)


def loan_by(session: Session, number: int) -> LoanLine:
    """Return a loan, ended or not, by its number.

    Raises:
        NotFoundError: There is none.
    """
    found = _lines(session, col(Loan.id) == number) if is_key(number) else ()
    if not found:
        raise NotFoundError("loan", str(number), "See 'kitlore loan list'.")
    return found[0]


def away(at: datetime | None) -> ColumnElement[bool]:
    """Return the condition that a loan's item was away at a time, or is away still."""
    if at is None:
        return col(Loan.back_at).is_(None)
    return and_(col(Loan.out_at) <= at, or_(col(Loan.back_at).is_(None), col(Loan.back_at) > at))


def _require_here(
    session: Session,
    item: Item,
    since: datetime,
    until: datetime | None = None,
    but: int | None = None,
) -> None:
    """Refuse a loan of what is away at some time of it.

    Raises:
        ConflictError: Naming the borrower.
    """
    others = and_(col(Loan.item_id) == item.key, col(Loan.id).is_distinct_from(but))
    lasted = and_(col(Loan.back_at) > since, col(Loan.back_at) > col(Loan.out_at))
    begun = [] if until is None else [col(Loan.out_at) < until]
    for other in _lines(session, others, or_(col(Loan.back_at).is_(None), lasted), *begun):
        back = f"until {other.back_at:%Y-%m-%d %H:%M} UTC" if other.back_at else "still"
        raise ConflictError(
            f"{item.name} is with {other.borrower} since {other.out_at:%Y-%m-%d %H:%M} UTC, "
            f"{back} (loan {other.number}). Take it back first, or give a later time."
        )


def _lines(session: Session, *conditions: ColumnElement[bool]) -> tuple[LoanLine, ...]:
    found = session.execute(
        select(Loan, Item)
        .join(Item, col(Loan.item_id) == Item.id)
        .where(*conditions)
        .order_by(col(Loan.out_at), col(Loan.id)),
    )
    return tuple(
        LoanLine(
            number=loan.key,
            version=loan.version,
            code=item.code,
            name=item.name,
            borrower=loan.borrower,
            out_at=loan.out_at,
            due=loan.due,
            back_at=loan.back_at,
            note=loan.note,
        )
        for loan, item in found
    )
