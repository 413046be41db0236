"""What a list of entries tells beside each title, and which entries name a source."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.entries import library, parse
from kb.entries.library import EntryLine
from kb.entries.model import Entry
from kb.records.tables import entries as kept
from kb.records.tables.faults import Attempt


@dataclass(frozen=True)
class Summary:
    """An entry in short.

    Attributes:
        line: Its line.
        symptoms: In how many ways people say it.
        fixes: How many fixes it has; the swap is none.
        tries: How often one of them, or the swap, was tried here.
        last_on: When that was last; None where none was tried.
    """

    line: EntryLine
    symptoms: int
    fixes: int
    tries: int
    last_on: datetime | None


def worded(lines: Iterable[EntryLine], text: str) -> tuple[EntryLine, ...]:
    """Return the lines that have all these words, or parts of words, in title or slug."""
    words = text.casefold().split()
    return tuple(
        line
        for line in lines
        if all(word in f"{line.title} {line.slug}".casefold() for word in words)
    )


def summaries(session: Session, lines: Sequence[EntryLine]) -> tuple[Summary, ...]:
    """Return entries in short, in the order of their lines."""
    keys, told = _told(session, [line.slug for line in lines])
    tried = _tried(session, list(keys.values()))
    return tuple(
        Summary(
            line,
            len(told[line.slug].symptoms),
            len(told[line.slug].fixes),
            *tried.get(keys[line.slug], (0, None)),
        )
        for line in lines
    )


def naming(session: Session, source: str) -> tuple[EntryLine, ...]:
    """Return the entries that give this among their sources, withdrawn ones left out."""
    found = [text for text in library.texts(session).values() if source in text]
    slugs = {one.slug for one in map(parse.entry_from, found) if source in one.sources}
    return tuple(line for line in library.entry_lines(session) if line.slug in slugs)


def _told(session: Session, slugs: Sequence[str]) -> tuple[dict[str, int], dict[str, Entry]]:
    """Return the keys and the newest texts, parsed, of entries of any status, by slug."""
    rows = session.execute(
        select(kept.Entry.slug, kept.Entry.id, kept.EntryRevision.text)
        .join(
            kept.EntryRevision,
            (col(kept.EntryRevision.entry_id) == kept.Entry.id)
            & (col(kept.EntryRevision.number) == kept.Entry.revision),
        )
        .where(col(kept.Entry.slug).in_(slugs))
    ).all()
    keys = {slug: key for slug, key, _text in rows if key is not None}
    return keys, {slug: parse.entry_from(text) for slug, _key, text in rows}


def _tried(session: Session, keys: Sequence[int]) -> dict[int, tuple[int, datetime]]:
    """Return how often the fixes of each entry were tried, and when last, by the entry's key."""
    rows = session.execute(
        select(Attempt.entry_id, func.count(), func.max(Attempt.at))
        .where(
            col(Attempt.entry_id).in_(keys),
            col(Attempt.fix_key).is_not(None),
            col(Attempt.struck_at).is_(None),
        )
        .group_by(col(Attempt.entry_id)),
    )
    return {key: (times, last) for key, times, last in rows if key is not None}
