"""The troubleshooting base: entries found, saved, withdrawn; every revision is kept."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from kb.checking import Draft, OptionalLine, check
from kb.entries import parse
from kb.entries.model import Entry
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.records import journal
from kb.records.kinds import EntryStatus
from kb.records.tables import entries as kept
from kb.records.unit import writer


class RevisionDraft(Draft):
    """What is typed beside the text of an entry: why it was changed."""

    note: OptionalLine = None


@dataclass(frozen=True)
class EntryLine:
    """An entry in a list."""

    slug: str
    title: str
    area: str
    status: str
    revision: int
    version: int


@dataclass(frozen=True)
class EntryPage:
    """An entry to read: its line, its parsed text, and who wrote that when."""

    line: EntryLine
    entry: Entry
    text: str
    by: str
    at: datetime


@dataclass(frozen=True)
class Revision:
    """One revision of an entry's text."""

    number: int
    text: str
    at: datetime
    by: str
    note: str | None


def entry_lines(
    session: Session, area: str | None = None, status: str | None = None
) -> tuple[EntryLine, ...]:
    """Return the entries, by area and title.

    Args:
        session: The unit of work.
        area: Only those of this area.
        status: Only those in this status; all by default.
    """
    query = select(kept.Entry).order_by(kept.Entry.area, kept.Entry.title)
    if area:
        query = query.where(kept.Entry.area == area)
    if status:
        query = query.where(kept.Entry.status == status)
    return tuple(_line(row) for row in session.scalars(query))


def entry_page(session: Session, slug: str) -> EntryPage:
    """Return an entry as it stands now.

    Raises:
        NotFoundError: There is none of that slug.
    """
    row = entry_by(session, slug)
    text = newest(session, row)
    return EntryPage(_line(row), parse.entry_from(text.text), text.text, text.by, text.at)


def revisions(session: Session, slug: str) -> tuple[Revision, ...]:
    """Return every revision of an entry, oldest first.

    Raises:
        NotFoundError: There is none of that slug.
    """
    row = entry_by(session, slug)
    found = session.scalars(
        select(kept.EntryRevision)
        .where(kept.EntryRevision.entry_id == row.key)
        .order_by(col(kept.EntryRevision.number)),
    )
    return tuple(Revision(one.number, one.text, one.at, one.by, one.note) for one in found)


def save_entry(
    session: Session,
    text: str,
    at: datetime,
    note: str | None = None,
    seen: int | None = None,
    status: EntryStatus = EntryStatus.ACCEPTED,
) -> EntryLine:
    """Keep the text of an entry: a new entry, or a new revision of the one with its slug.

    Args:
        session: The unit of work.
        text: The whole Markdown with its front matter.
        at: When.
        note: Why it was changed.
        seen: The version of the entry that was looked at.
        status: What a new entry is; one that stands keeps its status.

    Raises:
        ConflictError: Changed since it was seen.
        InvalidError: The text is no entry; line and mend are named. Or the note is no line.
    """
    text, parsed = tidy(text), parse.entry_from(text)
    why = check(RevisionDraft, {"note": note}).note
    row = _standing(session, parsed.slug)
    if row is None:
        row = kept.Entry(
            slug=parsed.slug, title=parsed.title, area=parsed.area, status=status, revision=0
        )
        session.add(row)
        session.flush()
    else:
        row = journal.for_change(session, kept.Entry, row.key, seen)
        if newest(session, row).digest == digest(text):
            return _line(row)
    row.title, row.area, row.revision = parsed.title, parsed.area, row.revision + 1
    session.add(
        kept.EntryRevision(
            entry_id=row.key,
            number=row.revision,
            text=text,
            digest=digest(text),
            at=at,
            by=writer(session).who,
            note=why,
        ),
    )
    session.flush()
    return _line(row)


def add_draft(session: Session, text: str, at: datetime, note: str | None = None) -> EntryLine:
    """Keep the text of a new entry as a draft; no entry that stands is written over.

    Raises:
        ConflictError: There is an entry of that slug.
        InvalidError: The text is no entry; line and mend are named. Or the note is no line.
    """
    slug = parse.entry_from(tidy(text)).slug
    if _standing(session, slug) is not None:
        mend = "Edit that one, or give this one another slug in its second line."
        raise ConflictError(f"There is an entry '{slug}' already. {mend}")
    return save_entry(session, text, at, note, status=EntryStatus.DRAFT)


def edit_entry(
    session: Session,
    slug: str,
    text: str,
    at: datetime,
    note: str | None = None,
    seen: int | None = None,
) -> EntryLine:
    """Keep the text as the newest revision of an entry that stands.

    Raises:
        ConflictError: Changed since it was seen.
        InvalidError: The text is no entry, or one of another slug; or the note is no line.
        NotFoundError: There is none of that slug.
    """
    kept_slug = entry_by(session, slug).slug
    given = parse.entry_from(tidy(text)).slug
    if given != kept_slug:
        message = f"an entry keeps its slug. Write '{kept_slug}' in place of '{given}'."
        raise InvalidError([Problem("slug", message)])
    return save_entry(session, text, at, note, seen)


def set_status(
    session: Session, slug: str, status: EntryStatus, seen: int | None = None
) -> EntryLine:
    """Accept, withdraw or make a draft of an entry; its text and evidence stay.

    Raises:
        ConflictError: Changed since it was seen, or it has that status.
        NotFoundError: There is none of that slug.
    """
    row = journal.for_change(session, kept.Entry, entry_by(session, slug).key, seen)
    if row.status == status:
        raise ConflictError(f"'{slug}' is {status.value} already. Nothing was changed.")
    row.status = status
    session.flush()
    return _line(row)


def entry_by(session: Session, slug: str) -> kept.Entry:
    """Return the entry of that slug.

    Raises:
        NotFoundError: There is none.
    """
    found = _standing(session, slug.strip())
    if found is None:
        raise NotFoundError("entry", slug, "See 'kitlore entries list'.")
    return found


def newest(session: Session, row: kept.Entry) -> kept.EntryRevision:
    """Return the newest revision of an entry."""
    return session.scalars(
        select(kept.EntryRevision).where(
            kept.EntryRevision.entry_id == row.key,
            kept.EntryRevision.number == row.revision,
        ),
    ).one()


def texts(session: Session, keys: Sequence[int] | None = None) -> dict[int, str]:
    """Return the newest text of each entry in use, by key; of all where no keys are given."""
    query = (
        select(kept.Entry.id, kept.EntryRevision.text)
        .join(
            kept.EntryRevision,
            (col(kept.EntryRevision.entry_id) == kept.Entry.id)
            & (col(kept.EntryRevision.number) == kept.Entry.revision),
        )
        .where(kept.Entry.status != EntryStatus.WITHDRAWN)
    )
    if keys is not None:
        query = query.where(col(kept.Entry.id).in_(keys))
    return {key: text for key, text in session.execute(query) if key is not None}


def tidy(text: str) -> str:
    """Return a text with its lines ended as the base keeps them; a form sends them otherwise."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def digest(text: str) -> str:
    """Return the SHA-256 of a text, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def _standing(session: Session, slug: str) -> kept.Entry | None:
    return session.scalars(select(kept.Entry).where(kept.Entry.slug == slug)).first()


def _line(row: kept.Entry) -> EntryLine:
    return EntryLine(row.slug, row.title, row.area, row.status, row.revision, row.version)
