"""A closed fault written down as the draft of an entry: its words, what was tried, what worked.

What a person has to think about stands there as a question, so that the draft can be kept in
two minutes and is plainly no finished entry.
"""

import unicodedata
from dataclasses import dataclass

from sqlmodel import Session

from kb.entries import library, render, wording
from kb.entries.model import Cause, Entry, Fix, Section
from kb.entries.words import Area, Chance, Likely
from kb.errors import ConflictError
from kb.faults import log, standing
from kb.gear import lookup
from kb.records.kinds import Outcome
from kb.records.tables import entries
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item, Model

# What stands where nobody said how long it took; the step asks for it.
_USUAL_S = 60
_WHAT_SHOWS = "What does somebody see or hear?"
_WHAT_CAUSE = "which cause?"
_WHAT_HELPED = "What helped?"
_WORDS = 6
_SLUG = 60
# Short of the 300 characters that an entry's line holds, so that a question fits behind.
_LONGEST = 250
# From here on seconds are left out; the file has no word for more than 99 999 of them.
_IN_MINUTES_S = 600


@dataclass(frozen=True)
class Tried:
    """One thing that was tried: what, how long it took if that is known, whether it worked."""

    what: str
    seconds: int | None
    worked: bool


@dataclass(frozen=True)
class Story:
    """A fault as far as a draft tells it, or a search that found nothing.

    Attributes:
        text: What was reported; empty where nothing was.
        equipment_class: Of what it was seen on; empty where none is known.
        area: The part of the studio; the first one where nothing tells it.
        cause: The cause in words; empty where nobody said.
        tried: What was tried, in order.
    """

    text: str = ""
    equipment_class: str = ""
    area: Area = Area.DISPLAYS
    cause: str = ""
    tried: tuple[Tried, ...] = ()


def draft_text(story: Story) -> str:
    """Return the Markdown of a draft: what worked first, as fixes; what didn't, as said."""
    text = _line(story.text) or _WHAT_SHOWS
    cause = _line(story.cause) or _WHAT_CAUSE
    ordered = sorted(story.tried, key=lambda one: not one.worked)
    tried = ordered or [Tried("", None, worked=True)]
    entry = Entry(
        slug=_slug(story.text),
        title=_opened(text),
        area=story.area,
        classes=(story.equipment_class,) if story.equipment_class else (),
        symptoms=(text,),
        causes=(Cause(cause, Likely.OFTEN),),
        checks=(),
        fixes=tuple(_fix(number, one, cause) for number, one in enumerate(tried, 1)),
        sources=("common practice, no source",),
        about=("A draft: how does it show, what else can it be, what comes first?",),
    )
    return render.to_markdown(entry)


def draft_of(session: Session, number: int) -> str:
    """Return the draft of a closed fault.

    Raises:
        ConflictError: It isn't closed yet.
        NotFoundError: There is none of that number.
    """
    fault = log.fault_by(session, number)
    if fault.closed_at is None:
        raise ConflictError(f"Fault {fault.key} is not closed yet. Close it with its cause first.")
    item = session.get(Item, fault.seen_item_id) if fault.seen_item_id else None
    model = lookup.by_key(session, Model, item.model_id) if item and item.model_id else None
    page = _entry(session, fault)
    story = Story(
        text=fault.text,
        equipment_class=(model.equipment_class or "") if model else "",
        area=page.area if page else Story.area,
        cause=fault.cause_note or fault.cause_kind or "",
        tried=tuple(_tried(one, page) for one in standing.attempts(session, fault.key)),
    )
    return draft_text(story)


def _entry(session: Session, fault: Fault) -> Entry | None:
    row = session.get(entries.Entry, fault.entry_id) if fault.entry_id else None
    return library.entry_page(session, row.slug).entry if row else None


def _tried(attempt: Attempt, entry: Entry | None) -> Tried:
    titles = {fix.key: fix.title for fix in entry.fixes} if entry else {}
    what = attempt.what or titles.get(attempt.fix_key or "", attempt.fix_key or "")
    seconds = max(1, round(attempt.minutes * 60)) if attempt.minutes else None
    return Tried(what, seconds, attempt.outcome == Outcome.WORKED)


def _fix(number: int, tried: Tried, cause: str) -> Fix:
    what = _line(tried.what)
    see = "what shows that it worked?" if tried.worked else "it did not work that time; keep it?"
    steps = "which steps?" if tried.seconds else "which steps, and how long do they take?"
    return Fix(
        key=f"fix-{number}",
        title=_opened(what or _WHAT_HELPED),
        takes_s=_rounded(tried.seconds or _USUAL_S),
        cures=((cause, Chance.USUALLY if tried.worked else Chance.RARELY),),
        section=Section(steps=(f"{what}: {steps}" if what else _opened(steps),), see=see),
    )


def _rounded(seconds: int) -> int:
    return seconds if seconds < _IN_MINUTES_S else 60 * round(seconds / 60)


def _line(text: str) -> str:
    """Return a text on one line that an entry can hold; the rest of a long one is cut off."""
    kept = "".join(c for c in text if c.isspace() or wording.refused_character(c) is None)
    line = wording.tidy(kept)
    return line if len(line) <= _LONGEST else f"{line[:_LONGEST].rstrip()}…"


def _opened(text: str) -> str:
    return text[:1].upper() + text[1:]


def _slug(text: str) -> str:
    """Return a slug made of the first words of a text, accents left out."""
    plain = unicodedata.normalize("NFKD", text.lower()).encode("ascii", "ignore").decode()
    words = "".join(c if c.isalnum() else " " for c in plain).split()
    return "-".join(words[:_WORDS])[:_SLUG].strip("-") or "a-new-entry"
