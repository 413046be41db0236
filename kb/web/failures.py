"""What an error becomes in the browser: a page, or a problem document for a program.

Problem documents follow RFC 9457.
"""

import traceback
from urllib.parse import quote

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse
from starlette.exceptions import HTTPException
from starlette.routing import Match

from kb import checking, clock, errors
from kb.errors import InvalidError, KitloreError, Problem
from kb.web import pages
from kb.web.shown import ErrorPage

STATUSES: dict[type[KitloreError], int] = {
    errors.InvalidError: 422,
    errors.NotFoundError: 404,
    errors.UnlikelyError: 409,
    errors.ConflictError: 409,
    errors.BusyError: 503,
    errors.StorageError: 503,
}
_TITLES = {
    401: "Who are you?",
    403: "That isn't yours to do",
    404: "Not found",
    405: "That can't be done here",
    409: "It contradicts what is recorded",
    413: "Too large",
    421: "That isn't our address",
    422: "Something is not right yet",
    429: "Too often",
    500: "A defect of ours",
    503: "It can't be done just now",
}
_NOT_THAT_WAY = 405
_DEFECT = "That is a defect of Kitlore, not of yours. Its trace is in the workspace's log."


def install(app: FastAPI) -> None:
    """Answer every error of ours, and any defect, with the same sentences as the terminal."""
    app.add_exception_handler(KitloreError, _ours)
    app.add_exception_handler(RequestValidationError, _misread)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _defect)


def status_of(error: KitloreError) -> int:
    """Return the HTTP status of an error's family."""
    return next(status for family, status in STATUSES.items() if isinstance(error, family))


def problems_of(error: KitloreError) -> tuple[Problem, ...]:
    """Return what is wrong, each with its field where it's of one."""
    return error.problems if isinstance(error, InvalidError) else (Problem("", error.message),)


def answer(
    request: Request, status: int, problems: tuple[Problem, ...], title: str = ""
) -> Response:
    """Return a page with the sentences, or a problem document under /api.

    Args:
        request: The request.
        status: The HTTP status.
        problems: What is wrong.
        title: The heading; that of the status by default.
    """
    title = title or _TITLES.get(status, "It did not work")
    if request.url.path.startswith("/api/"):
        return JSONResponse(
            {
                "type": "about:blank",
                "title": title,
                "status": status,
                "detail": "\n".join(str(problem) for problem in problems),
                "problems": [
                    {"field": problem.field, "message": problem.message} for problem in problems
                ],
            },
            status,
            media_type="application/problem+json",
        )
    return pages.show(request, "error.html", ErrorPage(title, problems), status)


async def _ours(request: Request, error: Exception) -> Response:
    assert isinstance(error, KitloreError)  # noqa: S101 - what the handler is installed for
    return answer(request, status_of(error), problems_of(error))


async def _misread(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)  # noqa: S101
    found = tuple(
        Problem(str(one["loc"][-1]).replace("_", " "), checking.in_our_words(one))
        for one in error.errors()
    )
    return answer(request, 422, found)


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101
    above = _above(request) if error.status_code == _NOT_THAT_WAY else None
    if above is not None:
        return RedirectResponse(above, pages.SEE_OTHER)
    message = "There is no such page. Scan the label again, or search for what you see."
    said = message if error.status_code == 404 else f"{error.detail}."  # noqa: PLR2004
    return answer(request, error.status_code, (Problem("", said),))


def _above(request: Request) -> str | None:
    """Return the nearest page above an address that only takes what a form sends.

    Somebody opened it again after a form was refused there, or kept it.
    """
    path = request.url.path
    if request.method not in ("GET", "HEAD") or path.startswith("/api/"):
        return None
    while path := path.rpartition("/")[0]:
        scope = {**request.scope, "method": "GET", "path": path}
        if any(one.matches(scope)[0] is Match.FULL for one in request.app.state.routes):
            return quote(path)
    return None


def _unkeyed(request: Request) -> str:
    """Return the path without the key that a calendar's address bears."""
    path = request.url.path
    return "/feed/***" if path.startswith("/feed/") else path


async def _defect(request: Request, error: Exception) -> Response:
    log = request.app.state.place.log
    trace = "".join(traceback.format_exception(error))
    try:
        with log.open("a", encoding="utf-8") as file:
            file.write(f"--- {clock.now().isoformat()} {request.method} {_unkeyed(request)}\n")
            file.write(f"{trace}\n")
    except OSError:
        pass
    return answer(request, 500, (Problem("", _DEFECT),))
