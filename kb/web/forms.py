"""Forms and lists that many families of pages share: what they hold, and how a form ends."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from fastapi import Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.errors import ConflictError, KitloreError, NotFoundError, Problem, UnlikelyError
from kb.records import deliveries
from kb.web import depends, failures, pages

SURE = "sure"


@dataclass(frozen=True)
class Field:
    """One field of a form.

    Attributes:
        name: As the draft calls it.
        label: As the person reads it.
        value: What stands in it.
        kind: 'text', 'date', 'number', 'choice', 'words' for several lines, 'hidden'.
        hint: What helps to fill it in.
        options: What a choice offers, an empty one means 'not said'; what a text may be, to
            pick from while typing.
        wrong: What is wrong with what stands in it.
    """

    name: str
    label: str = ""
    value: str = ""
    kind: str = "text"
    hint: str = ""
    options: tuple[str, ...] = ()
    wrong: str = ""


@dataclass(frozen=True)
class Also:
    """One press below a form that does something else.

    Attributes:
        action: Where it's sent.
        press: What the button says.
        says: What one should know before.
        seen: The version that was looked at.
    """

    action: str
    press: str
    says: str
    seen: int


@dataclass(frozen=True)
class FormPage:
    """A form on a page of its own.

    Attributes:
        title: What it does.
        action: Where it's sent.
        press: What the button says.
        fields: Its fields in order.
        note: What one should know before.
        danger: Whether the button is of the kind that one thinks about twice.
        back: Where one gets without it.
        keep: By which name a phone keeps it until it's sent; empty for others.
        ways: What else can be done from here: what it says, where it leads.
        problems: What is wrong with what was typed.
        also: What else can be pressed here.
    """

    title: str
    action: str
    press: str
    fields: tuple[Field, ...]
    note: str = ""
    danger: bool = False
    back: str = "/"
    keep: str = ""
    ways: tuple[tuple[str, str], ...] = ()
    problems: tuple[Problem, ...] = ()
    also: tuple[Also, ...] = ()


@dataclass(frozen=True)
class Cell:
    """One cell of a list: its text, where it leads; a 'state', 'number', 'time' or 'text'."""

    text: str
    address: str = ""
    kind: str = "text"


@dataclass(frozen=True)
class ListPage:
    """A list on a page of its own.

    Attributes:
        title: What is listed.
        columns: The headings.
        rows: What stands under them.
        empty: The sentence where there are none.
        note: What one should know before.
        filters: Fields that narrow the list, in its address.
        action: Where the filters are sent.
        ways: What else can be done from here: what it says, where it leads.
        before: The address of the page before; empty on the first.
        after: The address of the next page; empty on the last.
        count: How many there are in all; None where nobody counted.
        problems: What is wrong with the filters.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    empty: str
    note: str = ""
    filters: tuple[Field, ...] = ()
    action: str = ""
    ways: tuple[tuple[str, str], ...] = ()
    before: str = ""
    after: str = ""
    count: int | None = None
    problems: tuple[Problem, ...] = ()


def shown(request: Request, page: FormPage) -> Response:
    """Return the form, as it stands before anything was typed."""
    return pages.show(request, "form.html", page)


def listed(request: Request, page: ListPage, status: int = 200) -> Response:
    """Return the list."""
    told = replace(page, problems=labelled(page.filters, page.problems))
    return pages.show(request, "list.html", told, status)


def done(
    request: Request,
    now: datetime,
    form: Mapping[str, str],
    page: FormPage,
    act: Callable[[Session], object],
    there: str | Callable[[object], str],
) -> Response:
    """Do what the form asks for and lead on; where it can't be done the form comes back.

    Args:
        request: The request.
        now: The time now.
        form: What was typed.
        page: The form.
        act: What is done, in a unit of work of its own.
        there: Where it leads on; made of what `act` returned where it's a function.
    """
    try:
        with depends.writing(request, now) as unit:
            is_known = page.keep and not deliveries.is_new(unit, request.url.path, form)
            made = None if is_known else act(unit)
    except KitloreError as error:
        stale = isinstance(error, ConflictError) and _stale(page.fields, form)
        fields = marked((beside if stale else filled)(page.fields, form), error)
        problems = labelled(fields, failures.problems_of(error))
        if isinstance(error, UnlikelyError):
            fields = (*fields, Field(SURE, value="yes", kind="hidden"))
            problems = (*problems, Problem("", "Press again if you mean it."))
        again = replace(page, fields=fields, problems=problems)
        return pages.show(request, "form.html", again, failures.status_of(error))
    address = there if isinstance(there, str) else there(made)
    return RedirectResponse(address, pages.SEE_OTHER)


def filled(fields: Sequence[Field], form: Mapping[str, str]) -> tuple[Field, ...]:
    """Return the fields with what was typed in them."""
    return tuple(replace(field, value=form.get(field.name, field.value)) for field in fields)


def marked(fields: Sequence[Field], error: KitloreError) -> tuple[Field, ...]:
    """Return the fields, each with what is wrong with it, by its name or by what stands in it."""
    if isinstance(error, NotFoundError):
        given = error.given.strip()
        return tuple(
            replace(one, wrong=error.message) if given and one.value.strip() == given else one
            for one in fields
        )
    told = {one.field: one.message for one in failures.problems_of(error) if one.field}
    return tuple(replace(one, wrong=told.get(_called(one), "")) for one in fields)


def labelled(fields: Iterable[Field], problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the problems by what stands above their fields, not by what a draft calls those."""
    labels = {_called(one): one.label for one in fields if one.label}
    return tuple(replace(one, field=labels.get(one.field, one.field)) for one in problems)


def _called(field: Field) -> str:
    """Return a field as errors call it."""
    return field.name.replace("_", " ")


def beside(fields: Sequence[Field], form: Mapping[str, str]) -> tuple[Field, ...]:
    """Return the fields with what was typed, and what others made of them meanwhile beside it.

    The version is the new one: sent again, what stands in the form is kept over theirs.
    """
    return tuple(
        field if field.kind == "hidden" else _beside(field, form.get(field.name, field.value))
        for field in fields
    )


def _beside(field: Field, typed: str) -> Field:
    if _plain(typed) == _plain(field.value):
        return field
    now = f"it's '{field.value}' now" if field.value else "it's empty now"
    return replace(field, value=typed, hint=f"{field.hint} Look: {now}.".strip())


def _stale(fields: Sequence[Field], form: Mapping[str, str]) -> bool:
    """Return whether another version was looked at than the one that stands now."""
    now = next((field.value for field in fields if field.name == "seen"), "")
    return seen(form) is not None and form["seen"] != now


def _plain(text: str) -> str:
    """Return a text as it's compared: a browser ends lines in its own way."""
    return text.replace("\r\n", "\n").strip()


def values(form: Mapping[str, str], names: Iterable[str]) -> dict[str, str]:
    """Return those of the fields that the form has, empty ones too: they empty what they name."""
    return {name: form[name] for name in names if name in form}


def is_sure(form: Mapping[str, str]) -> bool:
    """Return whether it was pressed again after it was told to look like a slip."""
    return bool(form.get(SURE))


def seen(form: Mapping[str, str]) -> int | None:
    """Return the version that was looked at, where the form carries one."""
    typed = form.get("seen", "")
    return int(typed) if typed.isdecimal() else None
