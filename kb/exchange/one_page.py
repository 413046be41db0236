"""One HTML file with the base, a search and the gear list: for the day the machine is dead.

It asks for nothing outside of itself; its own policy forbids any other script or style.
"""

import base64
import hashlib
from dataclasses import dataclass
from datetime import datetime
from importlib.resources import files
from pathlib import Path

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup
from sqlmodel import Session

from kb.entries import library, render
from kb.faults import views as fault_views
from kb.gear import views as gear_views
from kb.records import settings as setting_file
from kb.records.kinds import EntryStatus, FaultState
from kb.records.workspace import Workspace

FILE = "kitlore.html"
_MOST = 1_000_000


@dataclass(frozen=True)
class ReadEntry:
    """An entry: its title, how people say it, its body as HTML."""

    title: str
    said: str
    body: Markup


@dataclass(frozen=True)
class Table:
    """A list with its headings."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class OnePage:
    """All that is in the file."""

    title: str
    made: str
    entries: tuple[ReadEntry, ...]
    tables: tuple[Table, ...]


def write(session: Session, place: Workspace, path: Path, at: datetime) -> int:
    """Write the file, whole or not at all, and return how many bytes it has.

    Raises:
        StorageError: It can't be written.
    """
    content = html(session, place, at).encode()
    setting_file.write_whole(path, content)
    return len(content)


def html(session: Session, place: Workspace, at: datetime) -> str:
    """Return the file's text."""
    page = OnePage(
        title=f"Kitlore: {place.folder.name}",
        made=f"{at.astimezone(place.settings.timezone):%Y-%m-%d %H:%M}",
        entries=_entries(session),
        tables=(_faults(session, place, at), _gear(session)),
    )
    style, script = _part("page.css"), _part("page.js")
    made = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    return made.from_string(_part("page.html")).render(
        page=page,
        style=Markup(style),  # noqa: S704 - our own file
        script=Markup(script),  # noqa: S704 - our own file
        style_hash=_hash(style),
        script_hash=_hash(script),
    )


def _entries(session: Session) -> tuple[ReadEntry, ...]:
    lines = (one for one in library.entry_lines(session) if one.status == EntryStatus.ACCEPTED)
    found = (library.entry_page(session, line.slug).entry for line in lines)
    return tuple(
        ReadEntry(
            title=entry.title,
            said="; ".join(entry.symptoms),
            body=Markup(render.to_html(entry)),  # noqa: S704 - raw HTML is off in entries
        )
        for entry in found
    )


def _faults(session: Session, place: Workspace, at: datetime) -> Table:
    zone = place.settings.timezone
    lines = fault_views.fault_lines(
        session, at, place.settings.hold_days, state=FaultState.OPEN, limit=_MOST
    )
    rows = tuple(
        (f"{one.noticed_at.astimezone(zone):%Y-%m-%d}", one.item or one.place or "", one.text)
        for one in lines
    )
    return Table("Open faults", ("Seen", "On", "What"), rows)


def _gear(session: Session) -> Table:
    rows = tuple(
        (one.name, one.code, one.state, one.model or "", one.place)
        for one in gear_views.item_lines(session, {}, _MOST, 0)
    )
    return Table("Gear", ("Name", "Code", "State", "Model", "Lies at"), rows)


def _part(name: str) -> str:
    return (files("kb.exchange") / "onepage" / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    """Return the digest by which a page's own policy allows a script or style (CSP level 2)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
