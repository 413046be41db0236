"""The people who keep the records: added, given a role, merged, forgotten."""

from functools import partial
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.crew import people
from kb.crew.people import PersonLine
from kb.records.kinds import Role
from kb.web import forms
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_NAMES = ("name", "role")


@router.get("/people")
def crew(request: Request, session: Reading) -> Response:
    """List the people who keep the records."""
    rows = tuple(
        (Cell(one.name, _at(one.name, "change")), Cell(one.role)) for one in people.people(session)
    )
    page = ListPage(
        title="People",
        columns=("Name", "Role"),
        rows=rows,
        empty="Nobody yet.",
        ways=(("Add somebody", "/people/new"), ("Who sits here", "/screen"), ("Gear", "/gear")),
        count=len(rows),
    )
    return forms.listed(request, page)


@router.get("/people/new")
def new(request: Request) -> Response:
    """Show the form for somebody new."""
    return forms.shown(request, _new())


@router.post("/people/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Add somebody."""
    act = partial(people.add_person, values=forms.values(form, _NAMES))
    return forms.done(request, now, form, _new(), act, "/people")


@router.get("/people/{name:path}/change")
def change(request: Request, name: str, session: Reading) -> Response:
    """Show the form that changes a name or a role."""
    return forms.shown(request, _change(_known(session, name)))


@router.post("/people/{name:path}/change")
def changed(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Change a name or a role."""
    values = forms.values(form, _NAMES)
    act = partial(people.change_person, name=name, values=values, seen=forms.seen(form))
    return forms.done(request, now, form, _change(_known(session, name)), act, "/people")


@router.get("/people/{name:path}/merge")
def merge(request: Request, name: str, session: Reading) -> Response:
    """Show the form that says that two names are one person."""
    return forms.shown(request, _merge(session, _known(session, name)))


@router.post("/people/{name:path}/merge")
def merged(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Say that two names are one person."""
    act = partial(people.merge_person, name=name, into=form.get("into", ""), seen=forms.seen(form))
    return forms.done(request, now, form, _merge(session, _known(session, name)), act, "/people")


@router.get("/people/{name:path}/forget")
def forget(request: Request, name: str, session: Reading) -> Response:
    """Show what forgetting does before it's done."""
    return forms.shown(request, _forget(_known(session, name)))


@router.post("/people/{name:path}/forget")
def forgotten(request: Request, name: str, form: Form, now: Now, session: Reading) -> Response:
    """Take a name out of every record."""
    act = partial(people.forget_person, name=name, seen=forms.seen(form))
    return forms.done(request, now, form, _forget(_known(session, name)), act, "/people")


def _at(name: str, way: str) -> str:
    """Return the address of what is done with somebody, whatever stands in the name."""
    return f"/people/{quote(name)}/{way}"


def _known(session: Session, name: str) -> PersonLine:
    person = people.person_by(session, name)
    return next(one for one in people.people(session) if one.name == person.name)


def _fields(name: str, role: str) -> tuple[Field, ...]:
    return (
        Field("name", "Name", name, hint="Initials or a short name."),
        Field("role", "Role", role, "choice", "", tuple(Role)),
    )


def _new() -> FormPage:
    fields = _fields("", Role.TECH)
    return FormPage("Add somebody", "/people/new", "Add them", fields, back="/people")


def _seen(line: PersonLine) -> Field:
    return Field("seen", value=str(line.version), kind="hidden")


def _change(line: PersonLine) -> FormPage:
    name = line.name
    return FormPage(
        f"Change {name}",
        _at(name, "change"),
        "Change it",
        (_seen(line), *_fields(name, line.role)),
        "A new name stands under what is written from now on; the old one stays under the rest.",
        back="/people",
        ways=(
            ("They stand here twice", _at(name, "merge")),
            ("Forget them", _at(name, "forget")),
        ),
    )


def _merge(session: Session, line: PersonLine) -> FormPage:
    others = tuple(one.name for one in people.people(session) if one.name != line.name)
    fields = (
        _seen(line),
        Field("into", "The name that stays", "", "choice", "", ("", *others)),
    )
    note = (
        f"All that was written under {line.name} stands under the other name from then on, and "
        f"{line.name} leaves the list. Nothing takes that apart again."
    )
    title = f"Is {line.name} the same person as another?"
    back = _at(line.name, "change")
    return FormPage(title, _at(line.name, "merge"), "They are one", fields, note, back=back)


def _forget(line: PersonLine) -> FormPage:
    name = line.name
    note = (
        f"{name} is taken out of every record and a number stands in its place: in reports, "
        "attempts, services, loans, entries and the history. What they did stays. Names that "
        "they had before go too. This can't be taken back."
    )
    return FormPage(
        f"Forget {name}?",
        _at(name, "forget"),
        f"Forget {name}",
        (_seen(line),),
        note,
        danger=True,
        back=_at(name, "change"),
    )
