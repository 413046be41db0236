"""What joins what: list, connect, disconnect, swap a lead, mend a slip."""

from functools import partial

from fastapi import APIRouter, Request, Response

from kb.gear import links, paths
from kb.gear.paths import LinkLine
from kb.web import forms, pages
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage
from kb.web.shown_gear import LinkPage

router = APIRouter(include_in_schema=False)
_FIELDS = ("cable", "from_item", "from_port", "to_item", "to_port")


@router.get("/links")
def joined(request: Request, session: Reading, item: str = "") -> Response:
    """List what is joined now, of one thing or of all."""
    found = paths.links_of(session, item) if item else paths.links_now(session)
    page = ListPage(
        title=f"What is joined to {item}" if item else "What is joined",
        columns=("Link", "From", "Lead", "To"),
        rows=tuple(_row(line) for line in found),
        empty="Nothing is joined.",
        filters=(Field("item", "Of one thing: its code or name", item),),
        action="/links",
        ways=(("Join two ports", "/links/new"), ("Gear", "/gear")),
        count=len(found),
    )
    return forms.listed(request, page)


@router.get("/links/new")
def new(request: Request, from_item: str = "", to_item: str = "", cable: str = "") -> Response:
    """Show the form that joins two ports."""
    given = {"from_item": from_item, "to_item": to_item, "cable": cable}
    return forms.shown(request, _form(None, given))


@router.post("/links/new")
def connect(request: Request, form: Form, now: Now) -> Response:
    """Join two ports."""
    act = partial(links.connect, values=forms.values(form, _FIELDS), at=now)
    return forms.done(request, now, form, _form(None, {}), act, lambda made: f"/links/{made}")


@router.get("/links/{number}")
def link(request: Request, number: int, session: Reading) -> Response:
    """Show a link."""
    return pages.show(request, "link.html", LinkPage(paths.link_by(session, number)))


@router.get("/links/{number}/change")
def change(request: Request, number: int, session: Reading) -> Response:
    """Show the form that mends a slip in a link."""
    return forms.shown(request, _form(paths.link_by(session, number), {}))


@router.post("/links/{number}/change")
def changed(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """Mend a slip in a link."""
    page = _form(paths.link_by(session, number), {})
    act = partial(
        links.change_link,
        number=number,
        values=forms.values(form, _FIELDS),
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, page, act, f"/links/{number}")


@router.get("/links/{number}/disconnect")
def part(request: Request, number: int, session: Reading) -> Response:
    """Show the form that ends a link."""
    return forms.shown(request, _part(paths.link_by(session, number)))


@router.post("/links/{number}/disconnect")
def parted(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """End a link."""
    page = _part(paths.link_by(session, number))
    act = partial(links.disconnect, cable_or_link=f"link {number}", at=now, seen=forms.seen(form))
    return forms.done(request, now, form, page, act, "/links")


@router.get("/links/{number}/replace")
def replace(request: Request, number: int, session: Reading) -> Response:
    """Show the form that swaps the lead of a link."""
    return forms.shown(request, _replace(paths.link_by(session, number)))


@router.post("/links/{number}/replace")
def replaced(request: Request, number: int, form: Form, now: Now, session: Reading) -> Response:
    """Swap the lead of a link."""
    line = paths.link_by(session, number)
    act = partial(
        links.replace_cable,
        old=line.cable or f"link {number}",
        new=form.get("new", ""),
        at=now,
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, _replace(line), act, lambda made: f"/links/{made}")


def _row(line: LinkLine) -> tuple[Cell, ...]:
    return (
        Cell(f"link {line.number}", f"/links/{line.number}"),
        Cell(f"{line.from_item} {line.from_port}", f"/{line.from_code}"),
        Cell(line.cable or "jumper", f"/{line.cable_code}" if line.cable_code else ""),
        Cell(f"{line.to_item} {line.to_port}", f"/{line.to_code}"),
    )


def _seen(line: LinkLine | None) -> Field:
    return Field("seen", value=str(line.version) if line else "", kind="hidden")


def _form(line: LinkLine | None, given: dict[str, str]) -> FormPage:
    labels = ("Lead", "From", "Its port", "To", "Its port")
    hints = ("Its code or name; empty for a jumper without a label.", *[""] * 4)
    fields = tuple(
        Field(
            name,
            label,
            str((getattr(line, name) if line else given.get(name)) or ""),
            "text",
            hint,
        )
        for name, label, hint in zip(_FIELDS, labels, hints, strict=True)
    )
    if line is None:
        return FormPage("Join two ports", "/links/new", "Join them", fields, back="/links")
    there = f"/links/{line.number}"
    title = f"Mend a slip in link {line.number}"
    return FormPage(title, f"{there}/change", "Mend it", (_seen(line), *fields), back=there)


def _part(line: LinkLine) -> FormPage:
    there = f"/links/{line.number}"
    title = f"Disconnect {line.from_item} {line.from_port} from {line.to_item} {line.to_port}"
    return FormPage(title, f"{there}/disconnect", "Disconnect", (_seen(line),), back=there)


def _replace(line: LinkLine) -> FormPage:
    there = f"/links/{line.number}"
    fields = (_seen(line), Field("new", "The lead that comes in", hint="Its code or name."))
    title = f"Swap the lead {line.cable}" if line.cable else "Put a lead in place of the jumper"
    return FormPage(title, f"{there}/replace", "Swap it", fields, back=there)
