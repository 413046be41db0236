"""Who sits at this screen, and whether its pages are dark or light."""

from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from kb.crew import people
from kb.web import depends, pages
from kb.web.depends import Form, Reading
from kb.web.shown import ScreenPage

router = APIRouter(include_in_schema=False)
_YEAR = 365 * 24 * 3600


@router.get("/screen")
def screen(request: Request, session: Reading) -> Response:
    """Show who can sit here."""
    names = tuple(one.name for one in people.people(session))
    return pages.show(request, "screen.html", ScreenPage(names))


@router.post("/screen")
def choose(session: Reading, form: Form) -> Response:
    """Keep the name or the theme that was chosen, and go back."""
    back = form.get("back", "/")
    # Only an address of our own: '//' would lead elsewhere.
    answer = RedirectResponse(
        back if back.startswith("/") and back[1:2] != "/" else "/", pages.SEE_OTHER
    )
    if form.get("theme") in ("dark", "light"):
        answer.set_cookie(pages.THEME_COOKIE, form["theme"], max_age=_YEAR, samesite="lax")
    if "who" in form:
        name = people.person_by(session, form["who"]).name
        answer.set_cookie(
            depends.WHO_COOKIE, quote(name), max_age=_YEAR, samesite="lax", httponly=True
        )
    return answer
