"""A closed fault written down as the draft of an entry: its words, what was tried, what worked.

What a person has to think about stands there as a question, so that the draft can be kept in
two minutes and is plainly no finished entry.
"""

from dataclasses import dataclass

from sqlmodel import Session

from kb.entries import library, render
from kb.entries.model import Cause, Entry, Fix, Section
from kb.entries.words import Area, Chance, Likely
from kb.errors import ConflictError
from kb.faults import log, standing
from kb.gear import lookup
from kb.records.kinds import Outcome
from kb.records.tables import entries
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item, Model

_USUAL_S = 60
_WHAT_CAUSE = "which cause?"
_WORDS = 6


@dataclass(frozen=True)
class Tried:
    """One thing that was tried: what, how long it took, and whether it worked."""

    what: str
    seconds: int
    worked: bool


@dataclass(frozen=True)
class Story:
    """A fault as far as a draft tells it.

    Attributes:
        text: What was reported.
        equipment_class: Of what it was seen on; empty where none is known.
        area: The part of the studio; the first one where nothing tells it.
        cause: The cause in words; empty where nobody said.
        tried: What was tried, in order.
    """

    text: str
    equipment_class: str
    area: Area
    cause: str
    tried: tuple[Tried, ...]


def draft_text(story: Story) -> str:
    """Return the Markdown of a draft: what worked first, as fixes; what didn't, as said."""
    cause = story.cause or _WHAT_CAUSE
    title = story.text[:1].upper() + story.text[1:]
    ordered = sorted(story.tried, key=lambda one: not one.worked)
    fixes = tuple(_fix(number, one, cause) for number, one in enumerate(ordered, 1))
    entry = Entry(
        slug=_slug(story.text),
        title=title,
        area=story.area,
        classes=(story.equipment_class,) if story.equipment_class else (),
        symptoms=(story.text,),
        causes=(Cause(cause, Likely.OFTEN),),
        checks=(),
        fixes=fixes or (_fix(1, Tried("What helped?", _USUAL_S, worked=True), cause),),
        sources=("common practice, no source",),
        about=("Draft from a fault: how does it show, what else can it be, what comes first?",),
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
        text=" ".join(fault.text.split()),
        equipment_class=(model.equipment_class or "") if model else "",
        area=page.area if page else next(iter(Area)),
        cause=" ".join((fault.cause_note or fault.cause_kind or "").split()),
        tried=tuple(_tried(one, page) for one in standing.attempts(session, fault.key)),
    )
    return draft_text(story)


def _entry(session: Session, fault: Fault) -> Entry | None:
    row = session.get(entries.Entry, fault.entry_id) if fault.entry_id else None
    return library.entry_page(session, row.slug).entry if row else None


def _tried(attempt: Attempt, entry: Entry | None) -> Tried:
    titles = {fix.key: fix.title for fix in entry.fixes} if entry else {}
    what = attempt.what or titles.get(attempt.fix_key or "", attempt.fix_key or "")
    seconds = round(attempt.minutes * 60) if attempt.minutes else _USUAL_S
    return Tried(what, max(1, seconds), attempt.outcome == Outcome.WORKED)


def _fix(number: int, tried: Tried, cause: str) -> Fix:
    see = "what shows that it worked?" if tried.worked else "it did not work that time; keep it?"
    return Fix(
        key=f"fix-{number}",
        title=tried.what[:1].upper() + tried.what[1:],
        takes_s=tried.seconds,
        cures=((cause, Chance.USUALLY if tried.worked else Chance.RARELY),),
        section=Section(steps=(f"{tried.what}: which steps?",), see=see),
    )


def _slug(text: str) -> str:
    """Return a slug made of the first words of a text."""
    words = "".join(c if c.isascii() and c.isalnum() else " " for c in text.lower()).split()
    return "-".join(words[:_WORDS]) or "draft"
