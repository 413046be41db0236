"""A new thing: added, its code shown at once, its label printed."""

from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import items
from kb.web import forms, thing_forms
from kb.web.depends import Form, Now, Reading
from kb.web.forms import FormPage
from kb.web.routes import unused

router = APIRouter(include_in_schema=False)


@router.get("/gear/new")
def new(request: Request, session: Reading) -> Response:
    """Show the form for a new thing; what the address gives stands in it already."""
    return forms.shown(request, _form(session, dict(request.query_params)))


@router.post("/gear/new")
def add(request: Request, form: Form, now: Now, session: Reading) -> Response:
    """Add a thing and show the code that was drawn for its label."""
    act = partial(items.add_item, values=forms.values(form, thing_forms.NAMES), at=now)
    page = _form(session, {})
    return forms.done(request, now, form, page, act, lambda code: f"/{code}/label")


def _form(session: Session, given: dict[str, str]) -> FormPage:
    return thing_forms.new(given, *unused.suggestions(session))
