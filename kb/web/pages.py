"""Templates: where they lie, what they may call, and the one way to show one."""

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from urllib.parse import quote
from zoneinfo import ZoneInfo

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from kb import __version__, clock
from kb.crew import people
from kb.entries import inline, outcomes, spoken
from kb.gear import codes
from kb.records.workspace import Workspace
from kb.web import depends, leading, visitors
from kb.web.visitors import Visitor

THEME_COOKIE = "kitlore-theme"
SEE_OTHER = 303
_LONGEST = 300
_FOLDER = Path(__file__).parent / "templates"


@dataclass(frozen=True)
class Frame:
    """What stands around every page.

    Attributes:
        path: The page's own address, to mark it among the links.
        theme: 'dark', or 'light' where that was chosen.
        who: Who sits at the screen, or in whose name the phone is paired; empty where nobody
            said.
        visitor: Who comes: what they may do, from where.
        room: The room that this screen or phone keeps; empty for all.
        doubt: What to say of the machine's clock, where it isn't believed; empty otherwise.
        fixed_day: The time on the day of a demonstration; empty otherwise.
        version: The program's.
    """

    path: str
    theme: str
    who: str
    visitor: Visitor
    room: str
    fixed_day: str
    doubt: str
    version: str = __version__


def environment(zone: ZoneInfo) -> Environment:
    """Return what fills the templates; times are told in the zone."""
    made = Environment(
        loader=FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["STRANGER"] = people.STRANGER
    made.globals["fresh_key"] = partial(secrets.token_urlsafe, 12)
    made.filters |= {
        "time": _told(zone, "%Y-%m-%d %H:%M"),
        "day": _told(zone, "%Y-%m-%d"),
        "clock": _told(zone, "%H:%M"),
        "exact": _told(zone, "%H:%M:%S"),
        "lasting": lasting,
        "linked": leading.linked,
        "price": spoken.price,
        "code": codes.shown,
        "evidence": partial(outcomes.kept_in_words, zone=zone),
        "inline": lambda text: Markup(inline.inline_html(text)),  # noqa: S704 - raw HTML is off
    }
    return made


def show(request: Request, template: str, page: object, status: int = 200) -> Response:
    """Return a template filled with a page's data.

    Args:
        request: The request, for what stands around the page.
        template: The file below `templates/`.
        page: A frozen dataclass; the template knows it as `page`.
        status: The HTTP status.
    """
    filled: Environment = request.app.state.templates
    html = filled.get_template(template).render(page=page, frame=_frame(request))
    return HTMLResponse(html, status)


def lasting(seconds: float) -> str:
    """Return a duration in words: '30 s', '1 min 30 s', '1 h 42 min'."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    told = ((hours, "h"), (minutes, "min"), (rest, "s"))
    return " ".join(f"{count} {unit}" for count, unit in told if count) or "0 s"


def _told(zone: ZoneInfo, form: str) -> Callable[[datetime | None], str]:
    return lambda at: f"{at.astimezone(zone):{form}}" if at else ""


def quoted(path: str) -> str:
    """Return a path as a cookie can hold it."""
    return quote(path[:_LONGEST])


def own_address(typed: str, otherwise: str = "/") -> str:
    """Return an address of our own; '//elsewhere' and its like would lead away."""
    is_own = typed.startswith("/") and typed[1:2] not in ("/", "\\") and typed.isprintable()
    return typed if is_own else otherwise


def _frame(request: Request) -> Frame:
    place: Workspace = request.app.state.place
    visitor = visitors.of(request)
    machine = clock.now()
    zone, is_fixed = place.settings.timezone, place.settings.today is not None
    now = place.now(machine).astimezone(zone)
    return Frame(
        path=request.url.path,
        theme="light" if request.cookies.get(THEME_COOKIE) == "light" else "dark",
        who=depends.chosen_name(request) if visitor.is_here else visitor.person,
        visitor=visitor,
        room=depends.chosen_room(request),
        fixed_day=f"{now:%Y-%m-%d %H:%M}" if is_fixed else "",
        doubt=request.app.state.steady.told(machine, clock.ticks(), zone),
    )
