"""What an entry still lacks to be as good as the best ones: no fault of form, but thin."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlmodel import Session

from kb.entries import library, overview, parse, symptoms
from kb.entries.library import EntryLine
from kb.entries.model import Entry, Fix
from kb.entries.words import Disruption
from kb.records.kinds import EntryStatus

# Common practice, no source: a practised crew takes a room from off to ready in one to two
# minutes, so a first fix that takes longer is the thing to shorten.
QUICK_S = 120
_CAUSES_TO_TELL_APART = 2


@dataclass(frozen=True)
class ThinLine:
    """An entry that lacks something.

    Attributes:
        line: The entry.
        lacks: What, in words.
        tries: How often its fixes were tried here.
    """

    line: EntryLine
    lacks: tuple[str, ...]
    tries: int


def lacking(entry: Entry) -> tuple[str, ...]:
    """Return what an entry lacks, in words."""
    return tuple(_lacking(entry))


def report(session: Session) -> tuple[ThinLine, ...]:
    """Return the accepted entries and drafts that lack something, those that lack most first."""
    lines = [line for line in library.entry_lines(session) if line.status != EntryStatus.WITHDRAWN]
    texts = library.texts(session)
    tried = {one.line.slug: one.tries for one in overview.summaries(session, lines)}
    entries = {entry.slug: entry for entry in map(parse.entry_from, texts.values())}
    found = [
        ThinLine(line, lacks, tried[line.slug])
        for line in lines
        if (lacks := _with_status(line, entries.get(line.slug)))
    ]
    return tuple(sorted(found, key=lambda one: (-len(one.lacks), -one.tries, one.line.slug)))


def _with_status(line: EntryLine, entry: Entry | None) -> tuple[str, ...]:
    waits = ("a lead who accepts it",) if line.status == EntryStatus.DRAFT else ()
    return waits + (lacking(entry) if entry else ())


def _lacking(entry: Entry) -> Iterator[str]:
    said = len(entry.symptoms)
    if said < symptoms.LINES_NEEDED:
        yield f"voices: said in {said} ways, not {symptoms.LINES_NEEDED}"
    if len(entry.causes) >= _CAUSES_TO_TELL_APART and not entry.checks:
        yield "a check that tells its causes apart"
    yield from _lacking_in_fixes(entry.fixes)
    if entry.swap is None and not any(fix.section.stop for fix in entry.fixes):
        yield "when to stop, to swap or to call somebody"
    if entry.afterwards.is_empty:
        yield "what to do afterwards"


def _lacking_in_fixes(fixes: Sequence[Fix]) -> Iterator[str]:
    for fix in fixes:
        if not fix.section.see:
            yield f"what one should see after '{fix.title}'"
    if fixes and fixes[0].takes_s > QUICK_S:
        yield f"a first fix under {QUICK_S // 60} minutes"
    if fixes and all(fix.disruption is Disruption.WHOLE_SHOW for fix in fixes):
        yield "a fix that leaves the show running"
