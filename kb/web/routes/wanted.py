"""Searches that found nothing: put on the list of what to write, and taken off it."""

from datetime import datetime
from functools import partial
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.entries import library
from kb.errors import NotFoundError
from kb.records.kinds import EntryStatus
from kb.search import unanswered
from kb.web import depends, forms, pages
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Field, FormPage

router = APIRouter(include_in_schema=False)
_LIST = "/entries#wanted"


@router.get("/entries/wanted")
def wanted(request: Request, session: Reading, place: Place, words: str = "") -> Response:
    """Show one search that found nothing, and what can be done about it."""
    return forms.shown(request, _form(session, place.settings.timezone, words))


@router.post("/entries/wanted")
def want(request: Request, form: Form, now: Now) -> Response:
    """Put a search that found nothing on the list of what to write."""
    with depends.writing(request, now) as unit:
        kept = unanswered.keep(unit, form.get("words", ""), now, form.get("item") or None)
    return RedirectResponse(f"/entries/wanted?{urlencode({'words': kept})}", pages.SEE_OTHER)


@router.post("/entries/wanted/answer")
def answered(request: Request, form: Form, place: Place, now: Now, session: Reading) -> Response:
    """Say that an entry answers a search now."""
    words = form.get("words", "")
    page = _form(session, place.settings.timezone, words)
    act = partial(unanswered.answer, query=words, slug=form.get("entry", ""))
    return forms.done(request, now, form, page, act, _LIST)


def _form(session: Session, zone: ZoneInfo, words: str) -> FormPage:
    """Return the form that names the entry in which a search is answered.

    Raises:
        NotFoundError: Nobody searched that, or it's answered.
    """
    found = unanswered.wanted(session, words)
    if not found:
        raise NotFoundError("unanswered search", words, "The list stands under the entries.")
    accepted = library.entry_lines(session, status=EntryStatus.ACCEPTED)
    slugs = sorted(one.slug for one in accepted)
    asked = urlencode({"words": words})
    return FormPage(
        title=f"Searched and not found: {words}",
        action="/entries/wanted/answer",
        press="That one answers it",
        fields=(
            Field("words", value=words, kind="hidden"),
            Field("entry", "An entry has it already", "", "choice", options=tuple(slugs)),
        ),
        note=_told(found[0].times, found[0].last_at.astimezone(zone)),
        back=_LIST,
        ways=(
            ("Write it", f"/entries/new?{asked}"),
            ("Search it again", f"/?{urlencode({'q': words})}"),
            ("Log it as a fault", f"/log?{urlencode({'text': words})}"),
        ),
    )


def _told(times: int, last: datetime) -> str:
    often = "once" if times == 1 else f"{times} times"
    return f"It is on the list of what to write: asked {often}, last on {last:%Y-%m-%d}."
