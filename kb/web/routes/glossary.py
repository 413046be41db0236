"""The glossary: what the words of the entries mean."""

from itertools import groupby

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from kb.web import explained, pages
from kb.web.shown_entries import GlossaryPage

router = APIRouter(include_in_schema=False)


@router.get(explained.ADDRESS)
def glossary(request: Request) -> Response:
    """Show every word with its meaning."""
    initials = groupby(explained.words(), key=lambda word: word.term[0].upper())
    page = GlossaryPage(tuple((letter, tuple(words)) for letter, words in initials))
    return pages.show(request, "glossary.html", page)


@router.get(f"{explained.ADDRESS}.md")
def as_a_file() -> Response:
    """Lead there from the address that a link between files has."""
    return RedirectResponse(explained.ADDRESS, pages.SEE_OTHER)
