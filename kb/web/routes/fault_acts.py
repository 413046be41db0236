"""What is done on a fault: a fix tried, a spare put in, closed, blamed anew, opened again."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.errors import KitloreError
from kb.faults import attempts, closing, log, mistakes, replacing
from kb.records import deliveries
from kb.records import session as units
from kb.records.kinds import Outcome
from kb.records.workspace import Workspace
from kb.web import depends, failures, following, forms, moments, pages
from kb.web.depends import Form, Now, Place
from kb.web.forms import Field
from kb.web.shown import FaultView

router = APIRouter(include_in_schema=False)
_CAUSE = ("kind", "item", "note", "minutes_lost")
# What stands above the fields of the page.
_LABELS = tuple(
    Field(name, label)
    for name, label in (
        ("effect", "What it did to the show"),
        ("kind", "Kind of cause"),
        ("item", "Item to blame"),
        ("minutes_lost", "Minutes lost"),
        ("note", "In words"),
        ("what", "What was done"),
        ("fix", "What was done"),
        ("spare", "Which one comes in"),
        ("outcome", "Worked or not"),
    )
)


@dataclass(frozen=True)
class Press:
    """A press on a fault's page: which fault, where and when, and what the form held."""

    request: Request
    place: Workspace
    now: datetime
    number: int
    form: Mapping[str, str]

    def given(self, *names: str) -> dict[str, str]:
        """Return those of the fields that were filled in."""
        return {name: self.form[name] for name in names if self.form.get(name)}

    def view(self, session: Session, error: KitloreError | None = None) -> FaultView:
        """Return the fault's page as it stands, with what was typed where it went wrong."""
        return following.view(
            session,
            self.place,
            self.now,
            self.number,
            entry=self.form.get("entry", ""),
            typed=self.form if error else {},
            problems=forms.labelled(_LABELS, failures.problems_of(error)) if error else (),
        )


@router.post("/faults/{number}/try")
def try_(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Keep that a fix was tried, and how it ended."""
    press = Press(request, place, now, number, form)
    values = press.given("entry", "fix", "what", "outcome")
    act = partial(attempts.record_attempt, number=number, values=values, at=now)
    return done(press, act, _next_steps if form.get("steps") else None)


@router.post("/faults/{number}/swap")
def swap(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Put a spare in the place of the thing, and keep whether that helped."""
    press = Press(request, place, now, number, form)
    values = press.given("entry", "spare", "outcome", "doubtful")
    return done(press, partial(replacing.replace_unit, number=number, values=values, at=now))


@router.post("/faults/{number}/close")
def close(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Close it with its cause."""
    press = Press(request, place, now, number, form)
    act = partial(closing.close_fault, number=number, at=now, seen=forms.seen(form))
    return done(press, partial(_with_cause, press=press, act=act))


@router.post("/faults/{number}/cause")
def cause(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Name another cause; it still works."""
    press = Press(request, place, now, number, form)
    act = partial(closing.correct_cause, number=number, seen=forms.seen(form))
    return done(press, partial(_with_cause, press=press, act=act))


@router.post("/faults/{number}/reopen")
def reopen(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Open it again: it is back."""
    press = Press(request, place, now, number, form)
    act = partial(closing.reopen_fault, number=number, at=now, seen=forms.seen(form))
    return done(press, act)


@router.post("/faults/{number}/effect")
def effect(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Say what it did to the show."""
    press = Press(request, place, now, number, form)
    act = partial(
        log.correct_fault,
        number=number,
        values={"effect": form.get("effect", "")},
        at=now,
        seen=forms.seen(form),
    )
    return done(press, act)


@router.post("/faults/{number}/mistaken")
def mistaken(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Take it back: it was logged by mistake."""
    press = Press(request, place, now, number, form)
    act = partial(mistakes.take_back, number=number, at=now, seen=forms.seen(form))
    return done(press, act)


@router.post("/faults/{number}/meant")
def meant(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Bring it back: it was no mistake after all."""
    press = Press(request, place, now, number, form)
    return done(press, partial(mistakes.bring_back, number=number, seen=forms.seen(form)))


@router.post("/faults/{number}/adopt")
def adopt(request: Request, number: int, form: Form, place: Place, now: Now) -> Response:
    """Take over a report that an unknown phone left: whoever does stands for it from then on."""
    press = Press(request, place, now, number, form)
    values = {"reporter": depends.who(request)}
    act = partial(log.correct_fault, number=number, values=values, at=now, seen=forms.seen(form))
    return done(press, act)


def done(
    press: Press,
    act: Callable[[Session], object],
    there: Callable[[Press], str] | None = None,
) -> Response:
    """Do it once and lead back to the fault; where it can't be done show why, nothing lost.

    Args:
        press: What was pressed.
        act: What is done, in a unit of work of its own.
        there: Tells where else to lead.
    """
    try:
        with depends.writing(press.request, press.now) as unit:
            if deliveries.is_new(unit, press.request.url.path, press.form):
                act(unit)
    except KitloreError as error:
        with units.read(press.request.app.state.engine) as unit:
            view = press.view(unit, error)
        return pages.show(press.request, "fault.html", view, failures.status_of(error))
    address = there(press) if there else f"/faults/{press.number}"
    return RedirectResponse(address, pages.SEE_OTHER)


def _with_cause(session: Session, press: Press, act: Callable[..., None]) -> None:
    """Do it with the cause that was typed, and when it was restored, where that was changed."""
    stood = (Field("restored_at", value=press.form.get("stood", "")),)
    times = moments.typed(press.form, stood, ("restored_at",), press.place, press.now)
    act(session, values=press.given(*_CAUSE) | times)


def _next_steps(press: Press) -> str:
    """Return the address of the next fix, step by step, where one didn't work."""
    with units.read(press.request.app.state.engine) as unit:
        view = press.view(unit)
    waiting = (one for one in view.fixes if not one.done and one.section.steps)
    after = next(waiting, None)
    there = f"/faults/{press.number}"
    if press.form.get("outcome") == Outcome.WORKED or after is None or view.entry is None:
        return there
    return f"{there}/steps/{after.key}/1?entry={view.entry.line.slug}"
