"""The troubleshooting base: read, edited with preview and lint, drafted from a closed fault."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from pydantic import BeforeValidator
from sqlmodel import Session

from kb.checking import Draft, OptionalLine, check, empty_is_none
from kb.entries import library, lint, parse
from kb.entries.library import EntryLine, EntryPage
from kb.entries.words import AREAS, Area
from kb.errors import ConflictError, KitloreError, Problem
from kb.faults import drafting
from kb.faults.drafting import Story
from kb.gear import pages as gear_pages
from kb.gear.views import ItemLine
from kb.records import session as units
from kb.records.kinds import EntryStatus
from kb.records.workspace import Workspace
from kb.search import unanswered
from kb.web import depends, failures, fixing, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.shown_entries import EditPage, EntriesPage, EntryView, RevisionsPage
from kb.web.turns import turns

router = APIRouter(include_in_schema=False)


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
    request: Request, session: Reading, area: str = "", status: str = "", text: str = ""
) -> Response:
    """List the entries by area; the address narrows the list."""
    lines: tuple[EntryLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    try:
        asked = check(Wanted, {"area": area, "status": status, "text": text})
        lines = library.entry_lines(session, asked.area, asked.status)
    except KitloreError as error:
        problems = failures.problems_of(error)
    page = EntriesPage(
        areas=_by_area([one for one in lines if _fits(one, text)]),
        area=area,
        status=status,
        text=text,
        choices=AREAS,
        statuses=tuple(EntryStatus),
        wanted=unanswered.wanted(session),
        problems=problems,
    )
    return pages.show(request, "entries.html", page, 422 if problems else 200)


@router.get("/entries/new")
def new(request: Request, session: Reading, words: str = "") -> Response:
    """Show the form for a new entry, begun from the words of a search where they are given."""
    return _shown(request, session, _new(drafting.draft_text(Story(words))))


@router.post("/entries/new")
def add(request: Request, form: Form, place: Place, now: Now, session: Reading) -> Response:
    """Look at a new entry, or keep it as a draft."""
    typed = _typed(_new(""), form)
    if form.get("press") != "keep":
        return _shown(request, session, typed)
    act = partial(library.add_draft, text=typed.text, at=now, note=typed.note)
    return _kept(request, place, now, typed, act)


@router.get("/faults/{number}/draft")
def draft(request: Request, number: int, session: Reading) -> Response:
    """Show a closed fault written down as the draft of an entry."""
    return _shown(request, session, _new(drafting.draft_of(session, number)))


@router.get("/entries/{slug}")
def entry(
    request: Request, slug: str, session: Reading, place: Place, now: Now, item: str = ""
) -> Response:
    """Show an entry."""
    found = library.entry_page(session, slug)
    titles = {one.slug: one.title for one in library.entry_lines(session)}
    hand, problems = _at_hand(session, item)
    view = EntryView(
        page=found,
        fixes=fixing.steps(session, found, now, place.settings.hold_days),
        likely=tuple((s, titles[s]) for s in found.entry.confused_with if s in titles),
        item=hand,
        problems=problems,
    )
    return pages.show(request, "entry.html", view)


@router.get("/entries/{slug}/edit")
def edit(request: Request, slug: str, session: Reading) -> Response:
    """Show the form that changes an entry."""
    return _shown(request, session, _edit(library.entry_page(session, slug)))


@router.post("/entries/{slug}/edit")
def edited(
    request: Request, slug: str, form: Form, place: Place, now: Now, session: Reading
) -> Response:
    """Look at a changed entry, or keep it as a new revision."""
    typed = _typed(_edit(library.entry_page(session, slug)), form)
    if form.get("press") != "keep":
        return _shown(request, session, typed)
    act = partial(
        library.edit_entry,
        slug=slug,
        text=typed.text,
        at=now,
        note=typed.note,
        seen=forms.seen(form),
    )
    return _kept(request, place, now, typed, act)


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


def _fits(line: EntryLine, text: str) -> bool:
    return all(word in f"{line.title} {line.slug}".lower() for word in text.lower().split())


def _by_area(lines: Sequence[EntryLine]) -> tuple[tuple[str, tuple[EntryLine, ...]], ...]:
    areas = dict.fromkeys(one.area for one in lines)
    return tuple((name, tuple(one for one in lines if one.area == name)) for name in areas)


def _at_hand(session: Session, typed: str) -> tuple[ItemLine | None, tuple[Problem, ...]]:
    """Return the thing at hand, or why there is none; the entry is read all the same."""
    try:
        return (gear_pages.item_page(session, typed).line if typed else None), ()
    except KitloreError as error:
        return None, failures.problems_of(error)


def _new(text: str) -> EditPage:
    return EditPage("A new entry", "/entries/new", text, "/entries")


def _edit(found: EntryPage) -> EditPage:
    line, there = found.line, f"/entries/{found.line.slug}"
    return EditPage(
        title=f"Edit: {line.title}",
        action=f"{there}/edit",
        text=found.text,
        back=there,
        slug=line.slug,
        seen=str(line.version),
        revision=line.revision,
    )


def _typed(page: EditPage, form: Mapping[str, str]) -> EditPage:
    """Return the page with what was typed, and with what it was typed over."""
    revision = form.get("revision", "")
    return replace(
        page,
        text=library.tidy(form.get("text", "")).strip() + "\n",
        note=form.get("note", ""),
        seen=form.get("seen", page.seen),
        revision=int(revision) if revision.isdecimal() else page.revision,
    )


def _shown(request: Request, session: Session, page: EditPage, status: int = 200) -> Response:
    """Show the form with what lint finds in its text, and how it would read."""
    known = {one.slug for one in library.entry_lines(session)}
    entry = parse.parse(page.text).entry
    looked_at = replace(page, findings=lint.lint(page.text, known), entry=entry)
    return pages.show(request, "entry_edit.html", looked_at, status)


def _kept(
    request: Request,
    place: Workspace,
    now: datetime,
    typed: EditPage,
    act: Callable[[Session], EntryLine],
) -> Response:
    """Keep the text and show the entry; where that can't be, the form comes back as typed."""
    try:
        with depends.writing(request, now) as unit:
            line = act(unit)
    except KitloreError as error:
        again = replace(typed, problems=failures.problems_of(error))
        with units.read(request.app.state.engine) as unit:
            if isinstance(error, ConflictError) and typed.slug:
                again = _overtaken(unit, place, again)
            return _shown(request, unit, again, failures.status_of(error))
    return RedirectResponse(f"/entries/{line.slug}", pages.SEE_OTHER)


def _overtaken(session: Session, place: Workspace, typed: EditPage) -> EditPage:
    """Return the page with what others changed meanwhile; kept again, it's kept over that."""
    line = library.entry_page(session, typed.slug).line
    told = turns(library.revisions(session, typed.slug), place.settings.timezone)
    return replace(
        typed,
        seen=str(line.version),
        revision=line.revision,
        meanwhile=tuple(one for one in told if one.number > typed.revision),
    )
