"""Headers that every answer carries."""

from collections.abc import Awaitable, Callable

from fastapi import Request, Response

# No script or style from elsewhere, none inside a page, no frame around it.
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
_ALWAYS = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


async def add(request: Request, call: Callable[[Request], Awaitable[Response]]) -> Response:
    """Add them; pages are never kept by a cache, so that what is shown is what is recorded."""
    response = await call(request)
    for name, value in _ALWAYS.items():
        response.headers.setdefault(name, value)
    if not request.url.path.startswith("/static/"):
        response.headers.setdefault("Cache-Control", "no-store")
    return response
