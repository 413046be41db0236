"""An entry's text in the making: new, from a search, from a closed fault, or changed."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.entries import library, lint, parse
from kb.entries.library import EntryLine, EntryPage
from kb.errors import ConflictError, KitloreError, NotFoundError
from kb.faults import drafting, story
from kb.faults.drafting import Story
from kb.records import session as units
from kb.records.workspace import Workspace
from kb.search import unanswered
from kb.web import depends, failures, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.shown_entries import EditPage, Mend
from kb.web.turns import turns

router = APIRouter(include_in_schema=False)
_LONGEST_NUMBER = 15


@router.get("/entries/new")
def new(request: Request, session: Reading, words: str = "") -> Response:
    """Show the form for a new entry, begun from the words of a search where they are given."""
    taken = {one.slug for one in library.entry_lines(session)}
    text = drafting.draft_text(Story(words), taken)
    return _shown(request, session, _new(text, words=words))


@router.get("/faults/{number}/draft")
def draft(request: Request, number: int, session: Reading, place: Place, now: Now) -> Response:
    """Show a closed fault written down as the draft of an entry."""
    text = story.draft_of(session, number, now, place.settings.hold_days)
    page = _new(text, fault=str(number))
    return _shown(request, session, replace(page, note=f"written down from fault {number}"))


@router.post("/entries/new")
def add(request: Request, form: Form, place: Place, now: Now, session: Reading) -> Response:
    """Look at a new entry, or keep it as a draft."""
    fault = form.get("fault", "")
    fault = fault if fault.isdecimal() and len(fault) <= _LONGEST_NUMBER else ""
    typed = _typed(_new("", fault=fault, words=form.get("words", "")), form)
    if form.get("press") != "keep":
        return _shown(request, session, typed)
    return _kept(request, place, now, typed, partial(_add, typed=typed, at=now))


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


def _add(session: Session, typed: EditPage, at: datetime) -> EntryLine:
    """Keep a draft; the fault that it tells of, and the search that it answers, know it then."""
    line = library.add_draft(session, typed.text, at, typed.note)
    if typed.fault:
        story.point_at(session, int(typed.fault), line.slug, at)
    if typed.words and unanswered.wanted(session, typed.words):
        unanswered.answer(session, typed.words, line.slug)
    return line


def _new(text: str, fault: str = "", words: str = "") -> EditPage:
    return EditPage(
        title=f"An entry from fault {fault}" if fault else "A new entry",
        action="/entries/new",
        text=text,
        back=f"/faults/{fault}" if fault else "/entries",
        fault=fault,
        words=words,
    )


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
    stands = dict(enumerate(page.text.split("\n"), start=1))
    looked_at = replace(
        page,
        near=_near(session, page.fault),
        mends=tuple(
            Mend(found.line, stands.get(found.line, ""), found.message)
            for found in lint.lint(page.text, known)
        ),
        entry=parse.parse(page.text).entry,
    )
    return pages.show(request, "entry_edit.html", looked_at, status)


def _near(session: Session, fault: str) -> tuple[EntryLine, ...]:
    """Return what tells of a fault already; an unknown one takes nothing with it."""
    try:
        return story.told_by(session, int(fault)) if fault else ()
    except NotFoundError:
        return ()


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
