"""An entry's fixes as pages offer them: with the evidence behind each, and how it ended here."""

from collections.abc import Mapping
from datetime import datetime

from sqlmodel import Session

from kb.entries import evidence, library, spoken
from kb.entries.library import EntryPage
from kb.entries.model import Fix, Swap
from kb.entries.outcomes import Evidence
from kb.faults import attempts
from kb.records.settings import Settings
from kb.web.shown import FixStep


def steps(
    session: Session,
    found: EntryPage,
    now: datetime,
    settings: Settings,
    ended: Mapping[str, str] | None = None,
) -> tuple[FixStep, ...]:
    """Return an entry's fixes in order, the swap last.

    Args:
        session: The unit of work.
        found: The entry.
        now: The time now.
        settings: For how many days a fix must hold, and the zone that days are told in.
        ended: How each ended on the fault at hand, by key.
    """
    key = library.entry_by(session, found.line.slug).key
    behind = evidence.of_entries(session, [key], now, settings.hold_days).get(key, {})
    entry = found.entry
    offered: list[tuple[str, Fix | Swap]] = [(fix.key, fix) for fix in entry.fixes]
    offered += [(attempts.SWAP, entry.swap)] if entry.swap else []
    return tuple(
        FixStep(
            key=name,
            title=fix.title,
            price=spoken.price(fix),
            evidence=behind.get(name, Evidence()).in_words(settings.timezone),
            section=fix.section,
            done=(ended or {}).get(name, ""),
        )
        for name, fix in offered
    )
