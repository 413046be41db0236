"""Which entries are printed, and what is told beside each."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlmodel import Session

from kb.entries import evidence, library
from kb.entries.library import EntryPage
from kb.entries.words import Area
from kb.labels.paper_text import Paper
from kb.records.kinds import EntryStatus
from kb.records.settings import Settings


def of_slugs(
    session: Session, slugs: Sequence[str], now: datetime, settings: Settings
) -> tuple[Paper, ...]:
    """Return the entries of these slugs, in their order, each once; drafts and others too.

    Args:
        session: The unit of work.
        slugs: Which.
        now: The time now.
        settings: For how many days a fix must hold, and the zone that days are told in.

    Raises:
        NotFoundError: There is none of one of the slugs.
    """
    titles = {line.slug: line.title for line in library.entry_lines(session)}
    return tuple(
        _paper(session, library.entry_page(session, slug), titles, now, settings)
        for slug in dict.fromkeys(slugs)
    )


def slugs_of(
    session: Session, area: Area | None = None, equipment_class: str | None = None
) -> tuple[str, ...]:
    """Return the slugs of the accepted entries, by area and title.

    Args:
        session: The unit of work.
        area: Only those of this area.
        equipment_class: Only those that speak of this class.
    """
    lines = library.entry_lines(session, area, EntryStatus.ACCEPTED)
    return tuple(
        line.slug
        for line in lines
        if equipment_class is None
        or equipment_class in library.entry_page(session, line.slug).entry.classes
    )


def _paper(
    session: Session,
    page: EntryPage,
    titles: Mapping[str, str],
    now: datetime,
    settings: Settings,
) -> Paper:
    key = library.entry_by(session, page.line.slug).key
    behind = evidence.of_entries(session, [key], now, settings.hold_days).get(key, {})
    zone = settings.timezone
    return Paper(
        entry=page.entry,
        status="" if page.line.status == EntryStatus.ACCEPTED else _status(page.line.status),
        revision=f"revision {page.line.revision} of {page.at.astimezone(zone):%Y-%m-%d}",
        evidence={fix: one.in_words(zone) for fix, one in behind.items()},
        near=tuple(titles[slug] for slug in page.entry.confused_with if slug in titles),
    )


def _status(status: str) -> str:
    return f"{status.capitalize()}: not accepted by this crew"
