"""A label printed ahead, scanned for the first time: what is it on?"""

from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import ahead, codes, items, places, views
from kb.records.kinds import PlaceKind
from kb.web import forms, pages, thing_forms
from kb.web.depends import Form, Now, Reading
from kb.web.forms import Field, FormPage
from kb.web.shown_labels import UnusedPage

router = APIRouter(include_in_schema=False)
# More than that is no help while typing, and makes the page heavy.
_SUGGESTED = 300
_PLACE = ("name", "kind", "within")


def show(request: Request, session: Session, typed: str) -> Response:
    """Show what can be done with a code that is on nothing yet."""
    models, there = suggestions(session)
    drawn = ahead.reserved(session, typed)
    page = UnusedPage(codes.read(typed), drawn, models, there, tuple(PlaceKind))
    # One that this base never drew may be no label of its own.
    return pages.show(request, "unused.html", page, 200 if drawn else 404)


@router.post("/{code}/new")
def register(request: Request, code: str, form: Form, now: Now, session: Reading) -> Response:
    """Add the thing that the label was stuck on, and open its page."""
    act = partial(items.add_item, values=forms.values(form, thing_forms.NAMES), at=now, code=code)
    page = thing_forms.new({}, *suggestions(session), action=f"/{code}/new")
    return forms.done(request, now, form, page, act, f"/{code}")


@router.post("/{code}/place")
def register_place(request: Request, code: str, form: Form, now: Now) -> Response:
    """Add the place that the label was stuck on, and open its page."""
    act = partial(places.add_place, values=forms.values(form, _PLACE), at=now, code=code)
    fields = (
        Field("name", "Name"),
        Field("kind", "Kind", "case", "choice", "", tuple(PlaceKind)),
        Field("within", "Lies in", hint="A name or a path like Rack room/R1."),
    )
    page = FormPage("Add a place", f"/{code}/place", "Add it", fields, back=f"/{code}")
    return forms.done(request, now, form, page, act, f"/places/{code}")


@router.get("/{code}/relabel")
def relabel_form(request: Request, code: str) -> Response:
    """Show the form that puts the label on a thing or a place that is known already."""
    return forms.shown(request, _relabel(code))


@router.post("/{code}/relabel")
def relabel(request: Request, code: str, form: Form, now: Now) -> Response:
    """Give a thing or a place that is known already this label; its old one still leads to it."""
    act = partial(ahead.relabel_known, typed=form.get("item", ""), code=code, at=now)
    return forms.done(request, now, form, _relabel(code), act, f"/{code}")


def suggestions(session: Session) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the models and the places to pick from while typing, where they aren't too many."""
    models = tuple(f"{one.maker} {one.name}" for one in views.model_lines(session))
    there = tuple(one.path for one in views.place_lines(session))
    return (
        models if len(models) <= _SUGGESTED else (),
        there if len(there) <= _SUGGESTED else (),
    )


def _relabel(code: str) -> FormPage:
    note = "Its old label still leads to it, so nothing is lost if that is scanned."
    fields = (Field("item", "Which one", hint="Its name, or the code on its old label."),)
    return FormPage(
        "A new label for what we know",
        f"/{code}/relabel",
        "Put it there",
        fields,
        note,
        back=f"/{code}",
    )
