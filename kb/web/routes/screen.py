"""Who sits at this screen, in which room it stands, and whether its pages are dark or light."""

from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from kb.crew import people
from kb.gear import views
from kb.records.kinds import PlaceKind
from kb.web import depends, pages, visitors
from kb.web.depends import Form, Reading
from kb.web.shown import ScreenPage

router = APIRouter(include_in_schema=False)
_YEAR = 365 * 24 * 3600


@router.get("/screen")
def screen(request: Request, session: Reading) -> Response:
    """Show who can sit here, and the rooms."""
    is_here = visitors.of(request).is_here
    names = tuple(one.name for one in people.people(session)) if is_here else ()
    return pages.show(request, "screen.html", ScreenPage(names, _rooms(session)))


@router.post("/screen")
def choose(request: Request, session: Reading, form: Form) -> Response:
    """Keep the name, the room or the theme that was chosen, and go back."""
    visitor = visitors.of(request)
    answer = RedirectResponse(pages.own_address(form.get("back", "/")), pages.SEE_OTHER)
    if form.get("theme") in ("dark", "light"):
        _keep(answer, pages.THEME_COOKIE, form["theme"])
    if "who" in form and visitor.is_here:
        _keep(answer, depends.WHO_COOKIE, people.person_by(session, form["who"]).name)
    if "room" in form and visitor.role is not None:
        room = form["room"] if form["room"] in _rooms(session) else ""
        _keep(answer, depends.ROOM_COOKIE, room)
    return answer


def _keep(answer: Response, name: str, value: str) -> None:
    answer.set_cookie(name, quote(value), max_age=_YEAR, samesite="lax", httponly=True)


def _rooms(session: Session) -> tuple[str, ...]:
    """Return the paths of the rooms."""
    return tuple(one.path for one in views.place_lines(session) if one.kind == PlaceKind.ROOM)
