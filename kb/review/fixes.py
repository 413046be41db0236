"""Which fixes worked here, those pending apart, ranked by their lower limit."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from kb.entries import evidence
from kb.entries.outcomes import Evidence
from kb.records.settings import Settings
from kb.records.tables.entries import Entry
from kb.records.tables.faults import Attempt
from kb.review.methods import proportions, rates
from kb.review.methods.proportions import Success


@dataclass(frozen=True)
class FixLine:
    """One fix of one entry.

    Attributes:
        entry: The entry's slug.
        fix: The fix's key.
        success: How often it worked and held.
        words: The same as a sentence.
    """

    entry: str
    fix: str
    success: Success
    words: str


def fixes(
    session: Session, settings: Settings, now: datetime, *, confidence: float = rates.CONFIDENCE
) -> tuple[FixLine, ...]:
    """Return every fix that was tried, that with the highest lower limit first.

    Args:
        session: The unit of work.
        settings: For how many days a fix must hold.
        now: The time now.
        confidence: Of each two-sided interval.

    Raises:
        InvalidError: No such confidence.
    """
    tried = select(Attempt.entry_id).where(col(Attempt.fix_key).is_not(None))
    rows = session.execute(select(Entry.id, Entry.slug).where(col(Entry.id).in_(tried)))
    slugs = {key: slug for key, slug in rows if key is not None}
    behind = evidence.of_entries(session, slugs.keys(), now, settings.hold_days)
    told = [
        (slugs[entry], key, _success(found, confidence))
        for entry, by_fix in behind.items()
        for key, found in by_fix.items()
    ]
    told.sort(key=lambda one: one[:2])
    order = proportions.ranked([one[2] for one in told])
    return tuple(FixLine(*told[place], _words(told[place][2])) for place in order)


def _success(found: Evidence, confidence: float) -> Success:
    pending = len(found.pending)
    return proportions.success(found.worked, found.tried, pending=pending, confidence=confidence)


def _words(found: Success) -> str:
    young = f"; {found.pending} worked and are too young to count" if found.pending else ""
    if found.share is None:
        return f"No attempt has a verdict yet{young}."
    limits = f"{100 * found.low:.0f} to {100 * found.high:.0f} %"
    return (
        f"Worked {found.successes} of {found.tries} times ({100 * found.share:.0f} %, two-sided "
        f"{rates.percent(found.confidence)} {limits}, Jeffreys){young}."
    )
