"""The troubleshooting base: listed, read, accepted, withdrawn; its revisions."""

import secrets
from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from pydantic import BeforeValidator
from sqlmodel import Session

from kb.checking import Draft, OptionalLine, check, empty_is_none
from kb.entries import library, overview
from kb.entries.library import EntryLine
from kb.entries.overview import Summary
from kb.entries.words import AREAS, Area
from kb.errors import KitloreError, Problem
from kb.gear import pages as gear_pages
from kb.gear.views import ItemLine
from kb.records.kinds import EntryStatus
from kb.search import unanswered
from kb.web import depends, explained, failures, fixing, forms, pages, paging
from kb.web.depends import Form, Now, Place, Reading
from kb.web.paging import Start
from kb.web.shown_entries import EntriesPage, EntryView, RevisionsPage
from kb.web.turns import turns

router = APIRouter(include_in_schema=False)
_PAGE = 200


class Wanted(Draft):
    """Which entries are listed."""

    area: Annotated[Area | None, BeforeValidator(empty_is_none)] = None
    status: Annotated[EntryStatus | None, BeforeValidator(empty_is_none)] = None
    text: OptionalLine = None


class Standing(Draft):
    """What an entry becomes: accepted, or withdrawn."""

    status: EntryStatus


@router.get("/entries")
def listed(
    request: Request,
    session: Reading,
    area: str = "",
    status: str = "",
    text: str = "",
    start: Start = 0,
) -> Response:
    """List the entries by area; the address narrows the list."""
    lines: tuple[EntryLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    asked = {"area": area, "status": status, "text": text}
    try:
        wanted = check(Wanted, asked)
        lines = library.entry_lines(session, wanted.area, wanted.status)
    except KitloreError as error:
        problems = failures.problems_of(error)
    fitting = overview.worded(lines, text)
    told = overview.summaries(session, fitting[start : start + _PAGE])
    more = start + _PAGE < len(fitting)
    before, after = paging.beside("/entries", asked, start, _PAGE, more=more)
    page = EntriesPage(
        areas=_by_area(told),
        count=len(fitting),
        **asked,
        choices=AREAS,
        statuses=tuple(EntryStatus),
        wanted=unanswered.wanted(session),
        before=before,
        after=after,
        problems=problems,
    )
    return pages.show(request, "entries.html", page, 422 if problems else 200)


@router.get("/entries/{slug}")
def entry(
    request: Request, slug: str, session: Reading, place: Place, now: Now, item: str = ""
) -> Response:
    """Show an entry."""
    found = explained.entry_page(session, slug)
    titles = {one.slug: one.title for one in library.entry_lines(session)}
    hand, problems = _at_hand(session, item)
    view = EntryView(
        page=found,
        fixes=fixing.steps(session, found, now, place.settings),
        likely=tuple((s, titles[s]) for s in found.entry.confused_with if s in titles),
        item=hand,
        key=secrets.token_urlsafe(12),
        problems=problems,
    )
    return pages.show(request, "entry.html", view)


@router.get("/entries/{slug}/revisions")
def revisions(request: Request, slug: str, session: Reading, place: Place) -> Response:
    """Show what became of an entry's text."""
    line = library.entry_page(session, slug).line
    found = turns(library.revisions(session, slug), place.settings.timezone)
    return pages.show(request, "entry_revisions.html", RevisionsPage(line, found))


@router.post("/entries/{slug}/status")
def set_status(request: Request, slug: str, form: Form, now: Now) -> Response:
    """Accept an entry, or withdraw it."""
    status = check(Standing, forms.values(form, ["status"])).status
    with depends.writing(request, now) as unit:
        library.set_status(unit, slug, status, forms.seen(form))
    return RedirectResponse(f"/entries/{slug}", pages.SEE_OTHER)


def _by_area(told: Sequence[Summary]) -> tuple[tuple[str, tuple[Summary, ...]], ...]:
    areas = dict.fromkeys(one.line.area for one in told)
    return tuple((name, tuple(one for one in told if one.line.area == name)) for name in areas)


def _at_hand(session: Session, typed: str) -> tuple[ItemLine | None, tuple[Problem, ...]]:
    """Return the thing at hand, or why there is none; the entry is read all the same."""
    try:
        return (gear_pages.item_page(session, typed).line if typed else None), ()
    except KitloreError as error:
        return None, failures.problems_of(error)
