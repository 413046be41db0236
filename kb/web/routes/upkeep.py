"""What is away, what lies ready, what is due: loans, spares, services, people."""

from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.crew import people
from kb.gear import loans, spares, upkeep
from kb.gear.loans import LoanLine
from kb.records.kinds import Role, ServiceKind
from kb.web import forms
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_SERVICE = ("kind", "work", "items", "tester", "cost", "next_due", "fault")
_SPARE = ("name", "minimum", "models", "place", "on_hand", "needed_rate")


@router.get("/loans")
def away(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """List what is away, the overdue first."""
    today = now.astimezone(place.settings.timezone).date()
    found = sorted(loans.open_loans(session), key=lambda one: (one.due is None, one.due))
    page = ListPage(
        title="What is away",
        columns=("What", "With", "Since", "Due", "Back"),
        rows=tuple(_loan(one, overdue=one.due is not None and one.due < today) for one in found),
        empty="Everything is here.",
        ways=(("Gear", "/gear"),),
    )
    return forms.listed(request, page)


@router.get("/spares")
def ready(request: Request, session: Reading, now: Now) -> Response:
    """List how many spares must lie ready and how many do, what is short first."""
    found = sorted(spares.spares(session, now), key=lambda one: one.ready - one.minimum)
    rows = tuple(
        (
            Cell(one.name),
            Cell("doubtful" if one.ready < one.minimum else "fit", kind="state"),
            Cell(str(one.ready), kind="number"),
            Cell(str(one.minimum), kind="number"),
            Cell(one.place),
            Cell(", ".join(one.models)),
        )
        for one in found
    )
    page = ListPage(
        title="Spares",
        columns=("What", "Enough", "Ready", "At least", "Where", "Of these models"),
        rows=rows,
        empty="Nobody said yet what must lie ready.",
        ways=(("Say what must lie ready", "/spares/new"), ("Gear", "/gear")),
    )
    return forms.listed(request, page)


@router.get("/spares/new")
def new_spare(request: Request) -> Response:
    """Show the form that says what must lie ready."""
    return forms.shown(request, _spare_form())


@router.post("/spares/new")
def set_spare(request: Request, form: Form, now: Now) -> Response:
    """Say what must lie ready."""
    values = {name: value for name, value in forms.values(form, _SPARE).items() if value.strip()}
    act = partial(spares.set_spare, values=values)
    return forms.done(request, now, form, _spare_form(), act, "/spares")


@router.get("/services")
def due(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """List what is due by today."""
    today = now.astimezone(place.settings.timezone).date()
    rows = tuple(
        (Cell(one.name, f"/{one.code}"), Cell(one.kind), Cell(str(one.next_due)), Cell(one.work))
        for one in upkeep.due(session, today)
    )
    page = ListPage(
        title="Services due",
        columns=("What", "Kind", "Due", "Last time"),
        rows=rows,
        empty="Nothing is due.",
        ways=(("Write a service down", "/services/new"), ("Gear", "/gear")),
        count=len(rows),
    )
    return forms.listed(request, page)


@router.get("/services/new")
def new_service(request: Request, item: str = "") -> Response:
    """Show the form for a service."""
    return forms.shown(request, _service_form(item))


@router.post("/services/new")
def add_service(request: Request, form: Form, now: Now) -> Response:
    """Keep a service."""
    typed = forms.values(form, _SERVICE)
    values: dict[str, object] = {name: value for name, value in typed.items() if value.strip()}
    names = [name.strip() for name in typed.get("items", "").split(",") if name.strip()]
    result = form.get("result") or None
    values["items"] = [{"item": name, "result": result} for name in names]
    act = partial(upkeep.add_service, values=values, at=now)
    return forms.done(request, now, form, _service_form(""), act, "/services")


@router.get("/people")
def crew(request: Request, session: Reading) -> Response:
    """List the people who keep the records."""
    rows = tuple(
        (
            Cell(one.name, f"/people/{one.name}/change"),
            Cell(one.role),
            Cell("forget", f"/people/{one.name}/forget"),
        )
        for one in people.people(session)
    )
    page = ListPage(
        title="People",
        columns=("Name", "Role", "Leave"),
        rows=rows,
        empty="Nobody yet.",
        ways=(("Add somebody", "/people/new"), ("Who sits here", "/screen")),
    )
    return forms.listed(request, page)


@router.get("/people/new")
def new_person(request: Request) -> Response:
    """Show the form for somebody new."""
    return forms.shown(request, _person_form("", Role.TECH, ""))


@router.post("/people/new")
def add_person(request: Request, form: Form, now: Now) -> Response:
    """Add somebody."""
    act = partial(people.add_person, values=forms.values(form, ("name", "role")))
    return forms.done(request, now, form, _person_form("", Role.TECH, ""), act, "/people")


@router.get("/people/{name}/change")
def change_person(request: Request, name: str, session: Reading) -> Response:
    """Show the form that changes a name or a role."""
    return forms.shown(request, _known(session, name))


@router.post("/people/{name}/change")
def changed_person(
    request: Request, name: str, form: Form, now: Now, session: Reading
) -> Response:
    """Change a name or a role."""
    values = forms.values(form, ("name", "role"))
    act = partial(people.change_person, name=name, values=values, seen=forms.seen(form))
    return forms.done(request, now, form, _known(session, name), act, "/people")


@router.get("/people/{name}/forget")
def forget(request: Request, name: str, session: Reading) -> Response:
    """Show what forgetting does before it's done."""
    people.person_by(session, name)
    return forms.shown(request, _forget_form(name))


@router.post("/people/{name}/forget")
def forgotten(request: Request, name: str, form: Form, now: Now) -> Response:
    """Take a name out of every record."""
    act = partial(people.forget_person, name=name)
    return forms.done(request, now, form, _forget_form(name), act, "/people")


def _loan(line: LoanLine, *, overdue: bool) -> tuple[Cell, ...]:
    return (
        Cell(line.name, f"/{line.code}"),
        Cell(line.borrower),
        Cell(f"{line.out_at:%Y-%m-%d}"),
        Cell(f"{line.due or 'not said'}{' OVERDUE' if overdue else ''}"),
        Cell("take it back", f"/{line.code}/lend"),
    )


def _spare_form() -> FormPage:
    fields = (
        Field("name", "What", hint="Like HDMI 2 to 3 m."),
        Field("minimum", "At least", kind="number"),
        Field("models", "Models that serve", hint="Divided by semicolons."),
        Field("place", "Where they lie"),
        Field("on_hand", "Counted by hand", "", "number", "Only for what has no labels."),
        Field("needed_rate", "Drives: write speed needed", hint="Like 41.3 MB/s."),
    )
    return FormPage("What must lie ready?", "/spares/new", "Say so", fields, back="/spares")


def _service_form(item: str) -> FormPage:
    fields = (
        Field("kind", "Kind", "", "choice", "", tuple(ServiceKind)),
        Field("work", "What was done", kind="words"),
        Field("items", "On which things", item, hint="Codes or names, divided by commas."),
        Field("result", "Result", "", "choice", "", ("", "pass", "fail", "marginal")),
        Field("tester", "Who tested"),
        Field("cost", "Cost", hint="Like 240 or 12.50."),
        Field("next_due", "Due again", kind="date"),
        Field("fault", "For fault number", kind="number"),
    )
    note = "Mains and fixed wiring: local rules decide who may test and repair."
    return FormPage(
        "Write a service down", "/services/new", "Keep it", fields, note, back="/services"
    )


def _known(session: Session, name: str) -> FormPage:
    person = people.person_by(session, name)
    line = next(one for one in people.people(session) if one.name == person.name)
    return _person_form(line.name, line.role, str(line.version))


def _person_form(name: str, role: str, version: str) -> FormPage:
    fields = (
        Field("seen", value=version, kind="hidden"),
        Field("name", "Name", name, hint="Initials or a short name."),
        Field("role", "Role", role, "choice", "", tuple(Role)),
    )
    if not name:
        return FormPage("Add somebody", "/people/new", "Add them", fields, back="/people")
    action = f"/people/{name}/change"
    return FormPage(f"Change {name}", action, "Change it", fields, back="/people")


def _forget_form(name: str) -> FormPage:
    note = (
        f"{name} is taken out of every record and a number stands in its place. What they did "
        "stays. This can't be taken back."
    )
    action = f"/people/{name}/forget"
    return FormPage(f"Forget {name}", action, "Forget them", (), note, danger=True, back="/people")
