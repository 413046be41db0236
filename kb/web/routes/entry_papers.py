"""Entries on paper, and those that still lack something."""

from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from pydantic import BeforeValidator
from sqlmodel import Session

from kb.checking import empty_is_none
from kb.entries import thin
from kb.entries.words import Area
from kb.labels import font, paper, papers, pdf
from kb.records.workspace import Workspace
from kb.web import forms
from kb.web.depends import Now, Place, Reading
from kb.web.forms import Cell, ListPage

router = APIRouter(include_in_schema=False)
_Area = Annotated[Area | None, BeforeValidator(empty_is_none), Query()]


@router.get("/entries/paper.pdf")
def many(session: Reading, place: Place, now: Now, area: _Area = None) -> Response:
    """Return the accepted entries, of an area or all, to print."""
    slugs = papers.slugs_of(session, area)
    return _paper(session, place, now, slugs, area.value if area else "entries")


@router.get("/entries/thin")
def lacking(request: Request, session: Reading) -> Response:
    """List the entries that still lack something."""
    found = thin.report(session)
    page = ListPage(
        title="Entries that lack something",
        columns=("Entry", "Lacks", "Tried here"),
        rows=tuple(
            (
                Cell(one.line.title, f"/entries/{one.line.slug}"),
                Cell("; ".join(one.lacks)),
                Cell(str(one.tries), kind="number"),
            )
            for one in found
        ),
        empty="No entry lacks anything.",
        ways=(("Entries", "/entries"), ("Searched and not found", "/entries#wanted")),
        count=len(found),
    )
    return forms.listed(request, page)


@router.get("/entries/{slug}/paper.pdf")
def one(slug: str, session: Reading, place: Place, now: Now) -> Response:
    """Return an entry to print for the rack door."""
    return _paper(session, place, now, [slug], slug)


def _paper(
    session: Session, place: Workspace, now: Now, slugs: Sequence[str], name: str
) -> Response:
    found = papers.of_slugs(session, slugs, now, place.settings)
    laid = paper.lay_out(found, place.settings.host, font.load())
    named = name.lower().replace(" ", "-")
    headers = {"Content-Disposition": f'inline; filename="{named}.pdf"'}
    return Response(pdf.render(laid), media_type="application/pdf", headers=headers)
