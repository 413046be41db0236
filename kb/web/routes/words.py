"""The crew's own words: what they call things, told to the search."""

from functools import partial

from fastapi import APIRouter, Request, Response
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.search import words
from kb.web import forms, moments
from kb.web.depends import Form, Now, Place, Reading
from kb.web.forms import Cell, Field, FormPage, ListPage

router = APIRouter(include_in_schema=False)
_LIST = "/words"
_SAID = ("word", "means")


@router.get("/words")
def own(request: Request, session: Reading, place: Place) -> Response:
    """List the crew's own words and what they mean."""
    found = words.own_words(session)
    page = ListPage(
        title="Words of our own",
        columns=("Word", "Means", "By", "When", "Mend"),
        rows=tuple(
            (
                Cell(one.word),
                Cell(one.means),
                Cell(one.by),
                Cell(moments.told(one.at, place), kind="time"),
                Cell("take it back", f"{_LIST}/{one.number}/remove"),
            )
            for one in found
        ),
        empty="No word of your own yet.",
        note="Who searches in these words finds what is written in the others.",
        ways=(("Say what a word means", f"{_LIST}/new"), ("Entries", "/entries")),
        count=len(found),
    )
    return forms.listed(request, page)


@router.get("/words/new")
def new(request: Request, word: str = "") -> Response:
    """Show the form that says what a word means."""
    return forms.shown(request, _new(word))


@router.post("/words/new")
def add(request: Request, form: Form, now: Now) -> Response:
    """Keep what a word means."""
    act = partial(words.add_word, values=forms.values(form, _SAID), at=now)
    return forms.done(request, now, form, _new(""), act, _LIST)


@router.get("/words/{number}/remove")
def removal(request: Request, number: int, session: Reading) -> Response:
    """Show the form that takes a word back."""
    return forms.shown(request, _removal(session, number))


@router.post("/words/{number}/remove")
def remove(request: Request, number: int, form: Form, session: Reading, now: Now) -> Response:
    """Take back what a word means."""
    page = _removal(session, number)
    act = partial(words.remove_word, number=number, at=now)
    return forms.done(request, now, form, page, act, _LIST)


def _new(word: str) -> FormPage:
    fields = (
        Field("word", "As people here say it", word),
        Field("means", "The same in other words", hint="Words that entries hold."),
    )
    return FormPage("Say what a word means", f"{_LIST}/new", "Keep it", fields, back=_LIST)


def _removal(session: Session, number: int) -> FormPage:
    """Return the form that takes a word back.

    Raises:
        NotFoundError: There is no such word, or it was taken back.
    """
    found = [one for one in words.own_words(session) if one.number == number]
    if not found:
        raise NotFoundError("word", str(number), "The list of words has those there are.")
    title = f"Take back that '{found[0].word}' means '{found[0].means}'"
    return FormPage(title, f"{_LIST}/{number}/remove", "Take it back", (), back=_LIST)
