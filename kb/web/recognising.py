"""Recognise who comes with a request."""

from contextlib import suppress

from fastapi import Request

from kb.crew import admission, hosts, pairings
from kb.crew.hosts import Reach
from kb.errors import KitloreError
from kb.records import session
from kb.records.kinds import PairingKind, Role, Strangers
from kb.web import depends
from kb.web.visitors import HERE, Visitor

PHONE_COOKIE = "kitlore-phone"
SCANNED_COOKIE = "kitlore-scanned"
_BEARER = "bearer "
# A proxy on this machine that says so; without it everybody would seem to sit here.
_FORWARDED = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via")


def find(request: Request) -> Visitor:
    """Return who comes with a request; asks the base but for who sits at the machine."""
    if _is_here(request):
        return HERE
    secret, kind = _secret(request)
    now = depends.now_of(request)
    engine = request.app.state.engine
    with session.read(engine) as unit:
        found = pairings.holder(unit, secret, now) if secret else None
        may = admission.strangers(unit)
    if found is None or found.kind is not kind:
        reads = may is Strangers.READ and request.method == "GET"
        return Visitor(Role.READER if reads else None, device="unknown phone", strangers=may)
    if pairings.is_use_due(found, now):
        request.state.use = (found.number, now)
    return Visitor(found.role, found.person, f"{kind.value} {found.number}", strangers=may)


def note_use(request: Request) -> None:
    """Note that a phone or a script came, where that's due: after the answer."""
    with suppress(KitloreError):  # who only reads needs no room on the disk
        pairings.note_use(request.app.state.engine, *request.state.use)


def _is_here(request: Request) -> bool:
    """Return whether the request comes from this machine, for this machine."""
    if request.app.state.reach is Reach.PROXY or any(
        name in request.headers for name in _FORWARDED
    ):
        return False
    client = request.client.host if request.client else ""
    return client in hosts.LOOPBACK and (
        hosts.name_of(request.headers.get("host", "")) in hosts.LOOPBACK
    )


def _secret(request: Request) -> tuple[str, PairingKind]:
    """Return what a phone's cookie holds, or what a script sends for the API."""
    sent = request.headers.get("authorization", "")
    if request.url.path.startswith("/api/") and sent[: len(_BEARER)].casefold() == _BEARER:
        return sent[len(_BEARER) :].strip(), PairingKind.SCRIPT
    return request.cookies.get(PHONE_COOKIE, ""), PairingKind.PHONE
