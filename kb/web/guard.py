"""The guard before every address: the host, the size, where it comes from, who, and their role."""

from urllib.parse import urlsplit

from fastapi import Request, Response
from fastapi.concurrency import run_in_threadpool
from starlette.routing import Match
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from kb.crew import admission, hosts, roles
from kb.errors import KitloreError, Problem
from kb.records import session
from kb.records.kinds import Role
from kb.web import doors, failures, recognising, strangers

MOST_BYTES = 25_000_000
_ASKS = frozenset({"GET", "HEAD", "OPTIONS"})
_WRONG_HOST = (
    "This address doesn't lead to this studio. Open the one on a label, or say its host with "
    "'kitlore settings host=HOST'."
)
_ELSEWHERE = "This was sent by a page of somebody else, so nothing was done. Open it here."
_TOO_LARGE = "That is too large: 25 MB fit. Send a smaller picture."
_NO_TOKEN = "Send 'Authorization: Bearer TOKEN'; a lead makes one with 'kitlore access script'."  # noqa: S105


class _TooLargeError(Exception):
    """More was sent than fits."""


class Guard:
    """What stands between the server and the routes.

    Args:
        app: What it guards.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        refused = _misled(request) or await run_in_threadpool(_kept_out, request)
        if refused is not None:
            await refused(scope, receive, send)
            return
        passing = _Passing(receive, send)
        try:
            await self._app(scope, passing.receive, passing.send)
        except _TooLargeError:
            passing.is_cut = True
        if passing.is_cut and not passing.has_begun:
            await failures.answer(request, 413, _one(_TOO_LARGE))(scope, receive, send)
        if hasattr(request.state, "use"):
            await run_in_threadpool(recognising.note_use, request)


class _Passing:
    """A request on its way in, cut where it gets too long, and its answer on its way out.

    What it announced doesn't count, and an answer to half a request is none.
    """

    def __init__(self, receive: Receive, send: Send) -> None:
        self._receive, self._send = receive, send
        self._so_far = 0
        self.is_cut = self.has_begun = False

    async def receive(self) -> Message:
        """Return the next part of the request."""
        message = await self._receive()
        self._so_far += len(message.get("body", b""))
        if self._so_far > MOST_BYTES:
            self.is_cut = True
            raise _TooLargeError
        return message

    async def send(self, message: Message) -> None:
        """Send the next part of the answer."""
        if self.has_begun or not self.is_cut:
            self.has_begun = True
            await self._send(message)


def _misled(request: Request) -> Response | None:
    """Refuse what isn't meant for us, is sent by a page of somebody else, or is too large."""
    announced = request.headers.get("content-length", "0")
    if not announced.isdigit() or int(announced[:12]) > MOST_BYTES:
        return failures.answer(request, 413, _one(_TOO_LARGE))
    if not _is_our_host(request):
        return failures.answer(request, 421, _one(_WRONG_HOST))
    if request.method not in _ASKS and not _is_own_page(request):
        return failures.answer(request, 403, _one(_ELSEWHERE))
    return None


def _is_our_host(request: Request) -> bool:
    app, given = request.app.state, request.headers.get("host", "")
    server = request.scope.get("server")
    reached = str(server[0]) if server else ""
    if hosts.is_ours(given, reached, app.hosts):
        return True
    try:  # a label may have been printed since
        with session.read(app.engine) as unit:
            app.hosts |= admission.printed_hosts(unit)
    except KitloreError:
        return False
    return hosts.is_ours(given, reached, app.hosts)


def _is_own_page(request: Request) -> bool:
    """Return whether a page of ours sent it, or a program, which has no page.

    Browsers send `Origin` with whatever changes something, and `Sec-Fetch-Site` where the
    connection is one they trust (Fetch standard; W3C Fetch Metadata).
    """
    site = request.headers.get("sec-fetch-site", "none")
    origin = request.headers.get("origin")
    own = request.headers.get("host", "").casefold()
    return site in ("same-origin", "none") and (
        origin is None or urlsplit(origin).netloc.casefold() == own
    )


def _kept_out(request: Request) -> Response | None:
    """Find out who comes, and refuse who may not have what they ask for."""
    try:
        request.state.visitor = visitor = recognising.find(request)
    except KitloreError as error:
        return failures.answer(request, failures.status_of(error), failures.problems_of(error))
    path = _path(request)
    if path is None:
        return None if visitor.role else strangers.turned_away(request)
    needed = doors.needed("GET" if request.method == "HEAD" else request.method, path)
    if roles.covers(visitor.role, needed):
        return None
    if visitor.role is not None:
        return failures.answer(request, 403, _one(_not_yours(visitor.role, needed)))
    if path.startswith("/api/"):
        answer = failures.answer(request, 401, _one(_NO_TOKEN))
        answer.headers["WWW-Authenticate"] = "Bearer"
        return answer
    return strangers.turned_away(request)


def _path(request: Request) -> str | None:
    """Return the route that a request asks for, as it's written; None where there is none."""
    for route in request.app.state.routes:
        if route.matches(request.scope)[0] is Match.FULL:
            return str(route.path)
    return None


def _not_yours(role: Role, needed: Role | None) -> str:
    return (
        f"This is for a {needed}; you are let in as a {role}. Ask a lead to do it, or to let you."
    )


def _one(sentence: str) -> tuple[Problem, ...]:
    return (Problem("", sentence),)
