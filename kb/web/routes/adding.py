"""A new thing: added, its code shown at once, its label printed."""

from functools import partial
from pathlib import Path

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.gear import items, views
from kb.gear import pages as gear_pages
from kb.labels import choose, font, pdf, sheet, shelf
from kb.records import workspace
from kb.records.workspace import Workspace
from kb.web import forms, pages, thing_forms
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import FormPage
from kb.web.shown_gear import LabelPage

router = APIRouter(include_in_schema=False)
# More than that is no help while typing, and makes the page heavy.
_SUGGESTED = 300


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


@router.get("/{code}/label")
def label(request: Request, code: str, session: Reading, place: Place) -> Response:
    """Show the code on a thing's label, and what it can be printed on."""
    page = LabelPage(
        item=gear_pages.item_page(session, code),
        address=f"{place.settings.host}/",
        stocks=shelf.names(_folders(place)),
        stock=shelf.DEFAULT,
    )
    return pages.show(request, "label.html", page)


@router.get("/{code}/label.pdf")
def printed(code: str, session: Reading, place: Place, stock: str = shelf.DEFAULT) -> Response:
    """Return a thing's label to print; a cable has two, one for each end."""
    chosen = shelf.find(stock, _folders(place))
    laid = sheet.lay_out(
        choose.of_items(session, [code]), chosen, place.settings.host, font.load()
    )
    name = gear_pages.item_page(session, code).line.code
    headers = {"Content-Disposition": f'inline; filename="label-{name}.pdf"'}
    return Response(pdf.render(laid), media_type="application/pdf", headers=headers)


def _form(session: Session, given: dict[str, str]) -> FormPage:
    models = tuple(f"{one.maker} {one.name}" for one in views.model_lines(session))
    places = tuple(one.path for one in views.place_lines(session))
    return thing_forms.new(
        given, *(few if len(few) <= _SUGGESTED else () for few in (models, places))
    )


def _folders(place: Workspace) -> list[Path]:
    """Return where stocks lie: the crew's own before those shipped."""
    return [place.folder / "labels", workspace.starter("labels")]
