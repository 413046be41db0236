"""The troubleshooting base: read, edited with preview and lint, drafted from a closed fault."""

from dataclasses import replace
from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.entries import library, lint, parse
from kb.entries.library import EntryLine, EntryPage
from kb.entries.words import AREAS
from kb.errors import KitloreError, Problem
from kb.faults import drafting
from kb.records.kinds import EntryStatus
from kb.search import unanswered
from kb.web import depends, failures, fixing, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.shown_entries import EditPage, EntriesPage, EntryView, RevisionsPage
from kb.web.turns import turns

router = APIRouter(include_in_schema=False)
# What a new entry begins with: the form, and a question wherever a person must think.
TEMPLATE = """---
slug: {slug}
title: {title}
area: Displays and video
classes: []
symptoms:
  - {words}
causes: {{first cause?: often, second cause?: rarely}}
fixes:
  - {{key: first, takes: 30s, disruption: none, cures: {{first cause?: usually}}}}
sources: ["common practice, no source"]
---
## What is done? {{#first}}

1. One action a step.

You should see: what shows that it worked?
"""


@router.get("/entries")
def listed(request: Request, session: Reading, area: str = "", text: str = "") -> Response:
    """List the entries by area; the address narrows the list."""
    lines = [one for one in library.entry_lines(session, area or None) if _fits(one, text)]
    page = EntriesPage(
        areas=tuple(
            (name, tuple(one for one in lines if one.area == name))
            for name in dict.fromkeys(one.area for one in lines)
        ),
        area=area,
        text=text,
        choices=AREAS,
        wanted=unanswered.wanted(session),
    )
    return pages.show(request, "entries.html", page)


@router.get("/entries/new")
def new(request: Request, words: str = "") -> Response:
    """Show the form for a new entry, begun from the words of a search where they are given."""
    plain = " ".join("".join(c if c.isalnum() else " " for c in words.lower()).split())
    text = TEMPLATE.format(
        slug="-".join(plain.split()[:6]) or "a-new-entry",
        title=plain.capitalize() or "A title in the trade's words",
        words=plain or "what somebody sees or hears",
    )
    return pages.show(request, "entry_edit.html", _new(text, EntryStatus.DRAFT))


@router.post("/entries/new")
def add(request: Request, form: Form, now: Now, session: Reading) -> Response:
    """Look at a new entry, or keep it as a draft."""
    return _kept(request, form, now, session, _new(form.get("text", ""), EntryStatus.DRAFT))


@router.get("/faults/{number}/draft")
def draft(request: Request, number: int, session: Reading) -> Response:
    """Show a closed fault written down as the draft of an entry."""
    text = drafting.draft_of(session, number)
    return pages.show(
        request, "entry_edit.html", _looked_at(session, _new(text, EntryStatus.DRAFT))
    )


@router.get("/entries/{slug}")
def entry(
    request: Request, slug: str, session: Reading, place: Place, now: Now, item: str = ""
) -> Response:
    """Show an entry."""
    found = library.entry_page(session, slug)
    titles = {one.slug: one.title for one in library.entry_lines(session)}
    view = EntryView(
        page=found,
        fixes=fixing.steps(session, found, now, place.settings.hold_days),
        likely=tuple((s, titles[s]) for s in found.entry.confused_with if s in titles),
        item=item,
    )
    return pages.show(request, "entry.html", view)


@router.get("/entries/{slug}/edit")
def edit(request: Request, slug: str, session: Reading) -> Response:
    """Show the form that changes an entry."""
    page = _edit(library.entry_page(session, slug))
    return pages.show(request, "entry_edit.html", _looked_at(session, page))


@router.post("/entries/{slug}/edit")
def edited(request: Request, slug: str, form: Form, now: Now, session: Reading) -> Response:
    """Look at a changed entry, or keep it as a new revision."""
    return _kept(request, form, now, session, _edit(library.entry_page(session, slug)))


@router.get("/entries/{slug}/revisions")
def revisions(request: Request, slug: str, session: Reading, place: Place) -> Response:
    """Show what became of an entry's text."""
    line = library.entry_page(session, slug).line
    found = turns(library.revisions(session, slug), place.settings.timezone)
    return pages.show(request, "entry_revisions.html", RevisionsPage(line, found))


@router.post("/entries/{slug}/status")
def set_status(request: Request, slug: str, form: Form, now: Now) -> Response:
    """Accept an entry, or withdraw it."""
    status = EntryStatus.ACCEPTED if form.get("status") == "accepted" else EntryStatus.WITHDRAWN
    act = partial(library.set_status, slug=slug, status=status, seen=forms.seen(form))
    with depends.writing(request, now) as unit:
        act(unit)
    return RedirectResponse(f"/entries/{slug}", pages.SEE_OTHER)


def _fits(line: EntryLine, text: str) -> bool:
    return all(word in f"{line.title} {line.slug}".lower() for word in text.lower().split())


def _new(text: str, status: EntryStatus) -> EditPage:
    return EditPage("A new entry", "/entries/new", text, "/entries", status=status)


def _edit(found: EntryPage) -> EditPage:
    there = f"/entries/{found.line.slug}"
    title, seen = f"Edit: {found.line.title}", str(found.line.version)
    return EditPage(title, f"{there}/edit", found.text, there, seen, found.line.status)


def _looked_at(session: Session, page: EditPage, problems: tuple[Problem, ...] = ()) -> EditPage:
    """Return the page with what lint finds in its text, and how it would read."""
    known = {one.slug for one in library.entry_lines(session)}
    return replace(
        page,
        findings=lint.lint(page.text, known),
        problems=problems,
        entry=parse.parse(page.text).entry,
    )


def _kept(
    request: Request, form: dict[str, str], now: Now, session: Session, page: EditPage
) -> Response:
    """Keep the text where that's asked for; else, or where it can't be, show it again."""
    text = form.get("text", "").replace("\r\n", "\n").strip() + "\n"
    typed = replace(page, text=text, note=form.get("note", ""), seen=form.get("seen", page.seen))
    if form.get("press") != "keep":
        return pages.show(request, "entry_edit.html", _looked_at(session, typed))
    try:
        with depends.writing(request, now) as unit:
            line = library.save_entry(
                unit,
                text,
                now,
                typed.note or None,
                forms.seen(form),
                EntryStatus(page.status),
            )
    except KitloreError as error:
        again = _looked_at(session, typed, failures.problems_of(error))
        return pages.show(request, "entry_edit.html", again, failures.status_of(error))
    return RedirectResponse(f"/entries/{line.slug}", pages.SEE_OTHER)
