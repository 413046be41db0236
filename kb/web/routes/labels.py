"""Labels: looked at, printed, printed ahead for things that have no name yet."""

from dataclasses import replace
from datetime import datetime
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.crew import admission
from kb.errors import InvalidError, KitloreError, Problem
from kb.gear import ahead
from kb.gear import pages as gear_pages
from kb.labels import pdf, png, qr, shelf
from kb.records.workspace import Workspace
from kb.web import depends, failures, forms, pages, printing
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Field, FormPage
from kb.web.printing import Asked
from kb.web.shown_labels import LabelPage, SheetPage

router = APIRouter(include_in_schema=False)


@router.get("/labels")
def labels(request: Request, session: Reading, place: Place) -> Response:
    """Show what would be printed, with every choice there is."""
    asked = Asked.of(request.query_params)
    page = SheetPage(
        asked=asked,
        which=printing.WHICH,
        stocks=tuple(one.name for one in printing.stocks(place)),
        printers=printing.known_printers(place),
        unused=len(ahead.unused(session)),
        query=request.url.query,
        notes=_of_host(place),
    )
    if not request.query_params:
        return pages.show(request, "labels.html", page)
    try:
        found = printing.labels(session, place, asked)
        notes = printing.laid_out(printing.previewed(found), place, asked).notes
    except KitloreError as error:
        page = replace(page, problems=failures.problems_of(error))
        return pages.show(request, "labels.html", page, failures.status_of(error))
    page = replace(page, count=len(found), notes=page.notes + notes)
    return pages.show(request, "labels.html", page)


@router.get("/labels.pdf")
def labels_pdf(request: Request, session: Reading, place: Place, now: Now) -> Response:
    """Return the labels asked for, to print."""
    asked = Asked.of(request.query_params)
    found = printing.labels(session, place, asked)
    _keep_host(request, session, place, now)
    return _pdf(pdf.render(printing.laid_out(found, place, asked)), "labels")


@router.get("/labels.png")
def labels_png(request: Request, session: Reading, place: Place) -> Response:
    """Return the first page of the labels asked for, dot for dot."""
    asked = Asked.of(request.query_params)
    found = printing.previewed(printing.labels(session, place, asked))
    made = printing.laid_out(found, place, asked)
    return Response(png.render(made.pages[0], made), media_type="image/png")


@router.get("/labels/ahead")
def ahead_of(request: Request) -> Response:
    """Show the form that reserves codes for labels printed ahead."""
    return forms.shown(request, _ahead())


@router.post("/labels/ahead")
def reserved(request: Request, form: Form, now: Now) -> Response:
    """Reserve codes, and lead to where they're printed."""
    typed = form.get("count", "").strip()

    def act(unit: Session) -> object:
        if not typed.isdecimal() or len(typed) > len(str(ahead.MOST)):
            raise InvalidError([Problem("count", f"give a number from 1 to {ahead.MOST}.")])
        return ahead.reserve(unit, int(typed), now)

    return forms.done(request, now, form, _ahead(), act, f"/labels?which={quote(printing.UNUSED)}")


@router.get("/{code}/label")
def label(request: Request, code: str, session: Reading, place: Place) -> Response:
    """Show a thing's label, and what it can be printed on."""
    asked = Asked.of({**request.query_params, "which": printing.NAMED, "names": code})
    found = printing.labels(session, place, asked)
    suited = printing.suited(found, place)
    page = LabelPage(
        item=gear_pages.item_page(session, code),
        address=f"{place.settings.host}/",
        stocks=suited,
        stock=asked.stock if asked.stock in suited else shelf.DEFAULT,
        printers=printing.known_printers(place),
        ends=len(found),
        notes=printing.laid_out(found, place, asked).notes + _of_host(place),
    )
    return pages.show(request, "label.html", page)


@router.get("/{code}/label.pdf")
def printed(request: Request, code: str, session: Reading, place: Place, now: Now) -> Response:
    """Return a thing's label to print; a cable has two, one for each end."""
    asked = Asked.of({**request.query_params, "which": printing.NAMED, "names": code})
    found = printing.labels(session, place, asked)
    content = pdf.render(printing.laid_out(found, place, asked))
    _keep_host(request, session, place, now)
    return _pdf(content, f"label-{found[0].code}")


@router.get("/{code}/label.png")
def pictured(
    request: Request, code: str, session: Reading, place: Place, end: int = 1
) -> Response:
    """Return a thing's label as a picture, dot for dot; a cable's second one is its end B."""
    asked = Asked.of({**request.query_params, "which": printing.NAMED, "names": code})
    found = printing.labels(session, place, asked)
    made = printing.laid_out(found, place, asked, single=True)
    page = made.pages[max(0, min(end, len(made.pages)) - 1)]
    return Response(png.render(page, made), media_type="image/png")


def _of_host(place: Workspace) -> tuple[str, ...]:
    return tuple(filter(None, [qr.doubt(place.settings.host)]))


def _ahead() -> FormPage:
    hint = f"1 to {ahead.MOST}. A sheet of the usual stock holds 21."
    note = (
        "Each label carries a code of nothing yet. Stick one on, scan it, and say what it is on. "
        "Two machines never get the same code."
    )
    fields = (Field("count", "How many", "21", "number", hint),)
    return FormPage(
        "Labels printed ahead", "/labels/ahead", "Reserve the codes", fields, note, back="/labels"
    )


def _keep_host(request: Request, session: Session, place: Workspace, now: datetime) -> None:
    """Remember the host on the labels: the pages answer by it as long as labels live."""
    if place.settings.host.casefold() not in admission.printed_hosts(session):
        with depends.writing(request, now) as unit:
            admission.keep_printed_host(unit, place.settings.host)


def _pdf(content: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)
