"""Templates: where they lie, what they may call, and the one way to show one."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from kb import __version__, clock
from kb.entries import inline, outcomes, spoken
from kb.gear import codes
from kb.records.workspace import Workspace
from kb.web import depends

THEME_COOKIE = "kitlore-theme"
SEE_OTHER = 303
_FOLDER = Path(__file__).parent / "templates"


@dataclass(frozen=True)
class Frame:
    """What stands around every page.

    Attributes:
        path: The page's own address, to mark it among the links.
        theme: 'dark', or 'light' where that was chosen.
        who: Who sits at the screen; empty where nobody said.
        fixed_day: The time on the day of a demonstration; empty otherwise.
        version: The program's.
    """

    path: str
    theme: str
    who: str
    fixed_day: str
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
    made.filters |= {
        "time": _told(zone, "%Y-%m-%d %H:%M"),
        "day": _told(zone, "%Y-%m-%d"),
        "clock": _told(zone, "%H:%M"),
        "lasting": lasting,
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
    """Return a duration in words: '30 s', '1 min 30 s'."""
    minutes, rest = divmod(round(seconds), 60)
    parts = [f"{minutes} min"] if minutes else []
    return " ".join(parts + ([f"{rest} s"] if rest or not minutes else []))


def _told(zone: ZoneInfo, form: str) -> Callable[[datetime | None], str]:
    return lambda at: f"{at.astimezone(zone):{form}}" if at else ""


def _frame(request: Request) -> Frame:
    place: Workspace = request.app.state.place
    now = place.now(clock.now()).astimezone(place.settings.timezone)
    return Frame(
        path=request.url.path,
        theme="light" if request.cookies.get(THEME_COOKIE) == "light" else "dark",
        who=depends.chosen_name(request),
        fixed_day=f"{now:%Y-%m-%d %H:%M}" if place.settings.today else "",
    )
