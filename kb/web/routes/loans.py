"""What is away and what is overdue: lent, taken back, slips mended."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import loans
from kb.gear.loans import LoanLine
from kb.records.workspace import Workspace
from kb.web import forms, moments, paging
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage
from kb.web.paging import Start

router = APIRouter(include_in_schema=False)
PAGE = 50
_LENT = ("borrower", "due", "note")
_TIMES = ("out_at", "back_at")


@router.get("/loans")
def away(request: Request, session: Reading, place: Place, now: Now, start: Start = 0) -> Response:
    """List what is away, the longest overdue first."""
    today = now.astimezone(place.settings.timezone).date()
    found = sorted(loans.open_loans(session), key=lambda one: (one.due is None, one.due))
    late = sum(one.due is not None and one.due < today for one in found)
    before, after = paging.beside("/loans", {}, start, PAGE, more=start + PAGE < len(found))
    page = ListPage(
        title="What is away",
        columns=("What", "With", "Since", "Due", "How", "Note", "Back", "Mend"),
        rows=tuple(
            _row(one, place, overdue=one.due is not None and one.due < today)
            for one in found[start : start + PAGE]
        ),
        empty="Everything is here.",
        note=f"Overdue: {late}." if late else "",
        ways=(("Lend something", "/loans/new"), ("Gear", "/gear")),
        before=before,
        after=after,
        count=len(found),
    )
    return forms.listed(request, page)


@router.get("/loans/new")
def new(request: Request, session: Reading, item: str = "") -> Response:
    """Show the form that lends something."""
    return forms.shown(request, _new(session, item))


@router.post("/loans/new")
def lend(request: Request, form: Form, now: Now, session: Reading) -> Response:
    """Lend something."""
    values = forms.values(form, _LENT)
    act = partial(loans.lend, typed=form.get("item", ""), values=values, at=now)
    return forms.done(request, now, form, _new(session, ""), act, "/loans")


@router.get("/loans/{number}/back")
def back(request: Request, number: int, session: Reading) -> Response:
    """Show the form that takes a thing back."""
    return forms.shown(request, _back(loans.loan_by(session, number)))


@router.post("/loans/{number}/back")
def taken(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """Take a thing back."""
    line = loans.loan_by(session, number)
    act = partial(loans.take_back, typed=line.code, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, _back(line), act, "/loans")


@router.get("/loans/{number}/change")
def change(request: Request, number: int, session: Reading, place: Place) -> Response:
    """Show the form that gives more time or mends a slip."""
    return forms.shown(request, _change(loans.loan_by(session, number), place))


@router.post("/loans/{number}/change")
def changed(
    request: Request, number: int, form: Form, place: Place, now: Now, session: Reading
) -> Response:
    """Give more time, or mend a slip."""
    page = _change(loans.loan_by(session, number), place)

    def act(unit: Session) -> None:
        values: dict[str, Any] = forms.values(form, ("item", *_LENT))
        values |= moments.typed(form, page.fields, _TIMES, place, now)
        loans.change_loan(unit, number, values, forms.seen(form))

    return forms.done(request, now, form, page, act, "/loans")


def _row(line: LoanLine, place: Workspace, *, overdue: bool) -> tuple[Cell, ...]:
    there = f"/loans/{line.number}"
    return (
        Cell(line.name, f"/{line.code}"),
        Cell(line.borrower),
        Cell(f"{line.out_at.astimezone(place.settings.timezone):%Y-%m-%d}", kind="time"),
        Cell(str(line.due or "not said"), kind="time"),
        Cell("overdue" if overdue else "away", kind="state"),
        Cell(line.note or ""),
        Cell("take it back", f"{there}/back"),
        Cell("more time, a slip", f"{there}/change"),
    )


def _new(session: Session, item: str) -> FormPage:
    fields = (
        Field("item", "What", item, hint="Its code or name."),
        Field("borrower", "To whom", options=loans.borrowers(session)),
        Field("due", "Back by", kind="date"),
        Field("note", "Note", kind="words"),
    )
    return FormPage("Lend something", "/loans/new", "Lend it", fields, back="/loans")


def _seen(line: LoanLine) -> Field:
    return Field("seen", value=str(line.version), kind="hidden")


def _back(line: LoanLine) -> FormPage:
    note = f"It's with {line.borrower}, due back: {line.due or 'not said'}."
    action = f"/loans/{line.number}/back"
    title = f"Take {line.name} back"
    return FormPage(title, action, "It's back", (_seen(line),), note, back="/loans")


def _change(line: LoanLine, place: Workspace) -> FormPage:
    fields = (
        _seen(line),
        Field("item", "What", line.name, hint="Its code or name."),
        Field("borrower", "With whom", line.borrower),
        Field("due", "Back by", str(line.due or ""), "date"),
        Field("out_at", "Went out", moments.told(line.out_at, place), hint=moments.HINT),
        Field(
            "back_at",
            "Came back",
            moments.told(line.back_at, place),
            hint="Empty while it's away.",
        ),
        Field("note", "Note", line.note or "", "words"),
    )
    action = f"/loans/{line.number}/change"
    return FormPage(f"Mend the loan of {line.name}", action, "Mend it", fields, back="/loans")
