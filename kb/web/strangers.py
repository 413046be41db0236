"""What a phone sees that nobody paired: how to be let in, and a form for a fault."""

import secrets
from collections.abc import Mapping

from fastapi import Request, Response

from kb.errors import Problem
from kb.gear import codes
from kb.records.kinds import Strangers
from kb.web import pages, visitors
from kb.web.recognising import SCANNED_COOKIE
from kb.web.shown_access import StrangerPage

_FORBIDDEN = 403
_HOUR = 3600


def turned_away(request: Request) -> Response:
    """Return the page that a stranger gets instead; where they wanted to is kept for later."""
    first = request.url.path.strip("/").partition("/")[0]
    typed = {"item": first} if codes.looks_like_code(first) else {}
    answer = form(request, typed, status=_FORBIDDEN)
    if request.method == "GET" and not request.url.path.startswith("/api/"):
        answer.set_cookie(
            SCANNED_COOKIE,
            pages.quoted(request.url.path),
            max_age=_HOUR,
            httponly=True,
            samesite="lax",
        )
    return answer


def form(
    request: Request,
    typed: Mapping[str, str],
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> Response:
    """Return the page with the form as it was filled in."""
    page = StrangerPage(
        may_report=visitors.of(request).strangers is not Strangers.NOTHING,
        key=typed.get("client_key") or secrets.token_urlsafe(12),
        typed=typed,
        problems=problems,
    )
    return pages.show(request, "stranger.html", page, status)
