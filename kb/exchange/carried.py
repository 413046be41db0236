"""The base, the gear and a search in one HTML file: for a stick or a phone, with no machine."""

import html
import re
from collections.abc import Iterator
from datetime import datetime
from importlib import resources
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlmodel import Session

from kb.entries import library, pages, parse
from kb.entries.model import Entry
from kb.errors import InvalidError, Problem
from kb.gear import views
from kb.gear.views import ItemLine
from kb.records import disk
from kb.records.kinds import EntryStatus

NAME = "carry.html"
_ID = re.compile(r'<section id="[^"]*">')  # many entries name their parts alike


def page(session: Session, at: datetime, zone: ZoneInfo) -> str:
    """Return the file: every accepted entry, every item in use, a search; nothing else is needed.

    Args:
        session: The unit of work.
        at: The time now.
        zone: The zone that it's told in.
    """
    accepted = {line.slug for line in library.entry_lines(session, status=EntryStatus.ACCEPTED)}
    entries = [parse.entry_from(text) for text in library.texts(session).values()]
    wanted = [one for one in entries if one.slug in accepted]
    wanted.sort(key=lambda one: (one.area, one.title))
    items = views.item_lines(session, {})
    return "\n".join(_lines(wanted, items, f"{at.astimezone(zone):%Y-%m-%d %H:%M}"))


def write(content: str, path: Path) -> None:
    """Write the file, whole or not at all; what stood there before stays until then.

    Raises:
        InvalidError: The file's ending is another.
        StorageError: The file can't be written.
    """
    if path.suffix.lower() != ".html":
        raise InvalidError([Problem("file", f"'{path.name}' doesn't end in .html. Name it so.")])
    with disk.staging(path.parent) as staging, disk.refusals(path):
        made = staging / NAME
        made.write_text(content, encoding="utf-8")
        made.replace(path)


def _lines(entries: list[Entry], items: tuple[ItemLine, ...], when: str) -> Iterator[str]:
    yield "<!doctype html>"
    yield '<html lang="en"><head><meta charset="utf-8">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield "<title>Kitlore to carry</title>"
    yield f"<style>{_resource('carried.css')}</style></head><body>"
    yield f'<h1>Kitlore to carry</h1><p class="soft">As of {when}. It changes nothing.</p>'
    yield '<p><label for="asked">What do you see or hear?</label>'
    yield '<input id="asked" type="search" autocomplete="off"></p><p id="told" role="status"></p>'
    yield '<h2>Entries</h2><div id="entries">'
    yield from map(_entry, entries)
    yield f"</div><h2>Gear ({len(items)})</h2>"
    yield '<table id="gear"><thead><tr><th>Name</th><th>Code</th><th>Model</th><th>State</th>'
    yield "<th>Lies at</th></tr></thead><tbody>"
    yield from map(_item, items)
    yield f"</tbody></table><script>{_resource('carried.js')}</script></body></html>"


def _entry(entry: Entry) -> str:
    said = html.escape(" ".join([entry.title] * 3 + list(entry.symptoms)), quote=True)
    body = _ID.sub("<section>", "\n".join(pages.parts(entry)))
    return (
        f'<details data-said="{said}"><summary>{html.escape(entry.title)}</summary>'
        f'<p class="soft">{html.escape(entry.area)}</p><article>{body}</article></details>'
    )


def _item(one: ItemLine) -> str:
    away = f", with {one.on_loan_to}" if one.on_loan_to else ""
    cells = (one.name, one.code, one.model or "", one.state + away, one.place)
    return f"<tr>{''.join(f'<td>{html.escape(cell)}</td>' for cell in cells)}</tr>"


def _resource(name: str) -> str:
    return resources.files("kb.exchange").joinpath(name).read_text(encoding="utf-8")
