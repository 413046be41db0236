"""Places: the tree, and what lies where."""

from collections import defaultdict
from collections.abc import Iterable
from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.gear import lookup, places, views
from kb.gear.views import PlaceLine
from kb.records.kinds import PlaceKind
from kb.web import forms, pages
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Field, FormPage
from kb.web.shown_gear import Branch, PlacePage, PlacesPage

router = APIRouter(include_in_schema=False)
_SHOWN = 50
_FIELDS = ("name", "kind", "within", "minute_cost", "picture", "sound")


@router.get("/places")
def tree(request: Request, session: Reading) -> Response:
    """Show the tree."""
    page = PlacesPage(_branches(views.place_lines(session)))
    return pages.show(request, "places.html", page)


@router.get("/places/new")
def new(request: Request, within: str = "") -> Response:
    """Show the form for a new place."""
    return forms.shown(request, _form(None, within))


@router.post("/places/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Add a place and open its page."""
    act = partial(places.add_place, values=forms.values(form, _FIELDS), at=now)
    return forms.done(request, now, form, _form(None, ""), act, lambda code: f"/places/{code}")


@router.get("/places/{code}")
def place(request: Request, code: str, session: Reading) -> Response:
    """Show a place and what lies there."""
    line = _line(session, code)
    wanted = {"place": line.code}
    page = PlacePage(
        place=line,
        within=tuple(one for one in views.place_lines(session) if one.within == line.path),
        items=views.item_lines(session, wanted, _SHOWN),
        count=views.item_count(session, wanted),
    )
    return pages.show(request, "place.html", page)


@router.get("/places/{code}/change")
def change(request: Request, code: str, session: Reading) -> Response:
    """Show the form that changes a place."""
    return forms.shown(request, _form(_line(session, code), ""))


@router.post("/places/{code}/change")
def changed(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Change a place, or where it lies."""
    line = _line(session, code)
    act = partial(
        places.change_place,
        typed=line.code,
        values=forms.values(form, _FIELDS),
        seen=forms.seen(form),
    )
    return forms.done(request, now, form, _form(line, ""), act, f"/places/{line.code}")


@router.get("/places/{code}/retire")
def retire(request: Request, code: str, session: Reading) -> Response:
    """Show the form that takes a place out of use."""
    return forms.shown(request, _retire(_line(session, code)))


@router.post("/places/{code}/retire")
def retired(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Take a place out of use."""
    line = _line(session, code)
    act = partial(places.retire_place, typed=line.code, at=now, seen=forms.seen(form))
    return forms.done(request, now, form, _retire(line), act, "/places")


@router.get("/places/{code}/merge")
def merge(request: Request, code: str, session: Reading) -> Response:
    """Show the form that says that two places are one."""
    return forms.shown(request, _merge(_line(session, code)))


@router.post("/places/{code}/merge")
def merged(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Say that two places are one."""
    line = _line(session, code)
    act = partial(
        places.merge_place, typed=line.code, into=form.get("into", ""), seen=forms.seen(form)
    )
    return forms.done(request, now, form, _merge(line), act, "/places")


def _branches(lines: Iterable[PlaceLine]) -> tuple[Branch, ...]:
    """Return the places at the top, each with all that lies in it."""
    inside: dict[str, list[PlaceLine]] = defaultdict(list)
    for line in lines:
        inside[line.within].append(line)

    def below(path: str) -> tuple[Branch, ...]:
        return tuple(Branch(one, below(one.path)) for one in inside[path])

    return below("")


def _line(session: Session, typed: str) -> PlaceLine:
    """Return the place of a code, a name or a path.

    Raises:
        NotFoundError: There is none.
    """
    path = lookup.Tree(session).path(lookup.place(session, typed).key)
    for line in views.place_lines(session):
        if line.path == path:
            return line
    raise NotFoundError("place", typed, "See the list of places.")


def _form(line: PlaceLine | None, within: str) -> FormPage:
    above = line.within if line else within
    fields = (
        Field("seen", value=str(line.version) if line else "", kind="hidden"),
        Field("name", "Name", line.name if line else ""),
        Field(
            "kind",
            "Kind",
            line.kind if line else PlaceKind.AREA,
            "choice",
            "A position is filled by one thing at a time.",
            tuple(PlaceKind),
        ),
        Field("within", "Lies in", above, hint="A name or a path; empty for a site of its own."),
        Field("minute_cost", "What a lost minute costs", _amount(line), hint=_OF_A_ROOM),
        Field("picture", "Picture recorded", line.picture if line else "", hint=_OF_A_ROOM),
        Field("sound", "Sound recorded", line.sound if line else "", hint=_OF_A_ROOM),
    )
    if line is None:
        return FormPage("Add a place", "/places/new", "Add it", fields, back="/places")
    there = f"/places/{line.code}"
    return FormPage(f"Change {line.name}", f"{there}/change", "Change it", fields, back=there)


_OF_A_ROOM = "Of a site or a room, for all that lies in it; empty means as above it."


def _amount(line: PlaceLine | None) -> str:
    return f"{line.minute_cost / 100:.2f}" if line and line.minute_cost is not None else ""


def _retire(line: PlaceLine) -> FormPage:
    there = f"/places/{line.code}"
    seen = (Field("seen", value=str(line.version), kind="hidden"),)
    note = "Nothing may lie there any more; its history stays."
    title = f"Take {line.name} out of use"
    return FormPage(title, f"{there}/retire", "Take it out", seen, note, danger=True, back=there)


def _merge(line: PlaceLine) -> FormPage:
    there = f"/places/{line.code}"
    fields = (
        Field("seen", value=str(line.version), kind="hidden"),
        Field("into", "The one that stays", hint="A name, a path or a code."),
    )
    note = f"All that lies at {line.path} lies at the one that stays from then on."
    title = f"Is {line.name} the same as another place?"
    return FormPage(title, f"{there}/merge", "They are one", fields, note, back=there)
