"""A closed fault written down as the draft of an entry: its words, what was tried, what worked.

What a person has to think about stands there as a question, so that the draft can be kept in
two minutes and is plainly no finished entry.
"""

import unicodedata
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from kb.entries import render, wording
from kb.entries.model import Cause, Entry, Fix, Section, Swap
from kb.entries.words import Area, Chance, Likely

PRACTICE = "common practice, no source"
# What stands where nobody said how long it took; the step asks for it.
_USUAL_S = 60
_WHAT_SHOWS = "What does somebody see or hear?"
_WHAT_CAUSE = "which cause?"
_WHAT_HELPED = "What helped?"
_ASKED = "A draft: how does it show, what else can it be, what comes first?"
_WORDS = 6
_SLUG = 60
# Short of the 2,000 characters that a paragraph holds.
_VAIN = 1_500
# Short of the 300 characters that an entry's line holds, so that a question fits behind.
_LONGEST = 250
# From here on seconds are left out; the file has no word for more than 99 999 of them.
_IN_MINUTES_S = 600
_NOTHING = Section()


@dataclass(frozen=True)
class Tried:
    """One thing that was tried.

    Attributes:
        what: What was done, in words.
        seconds: How long it took; None where nobody said.
        worked: Whether it did.
        told: How the entry that was followed tells it, cautions and steps; None for free words.
    """

    what: str
    seconds: int | None
    worked: bool
    told: Fix | Swap | None = None


@dataclass(frozen=True)
class Story:
    """A fault as far as a draft tells it, or a search that found nothing.

    Attributes:
        text: What was reported; empty where nothing was.
        equipment_class: Of what it was seen on; empty where none is known.
        area: The part of the studio; the first one where nothing tells it.
        cause: The cause in words; empty where nobody said.
        tried: What was tried, in order.
        first_acts: What the entry that was followed puts before everything.
        sources: Where all this comes from.
    """

    text: str = ""
    equipment_class: str = ""
    area: Area = Area.DISPLAYS
    cause: str = ""
    tried: tuple[Tried, ...] = ()
    first_acts: Section = _NOTHING
    sources: tuple[str, ...] = (PRACTICE,)


def source_of(fault: int) -> str:
    """Return how an entry names a fault of this house among its sources."""
    return f"our own fault {fault}"


def draft_text(story: Story, taken: Collection[str] = ()) -> str:
    """Return the Markdown of a draft: what worked first, as fixes; what didn't, as said.

    Args:
        story: What is known.
        taken: Slugs that the draft can't have.
    """
    text = _line(story.text) or _WHAT_SHOWS
    cause = _line(story.cause) or _WHAT_CAUSE
    tried = _once_each(story.tried)
    swaps = [one for one in tried if isinstance(one.told, Swap)]
    fixes = [one for one in tried if one not in swaps] or [Tried("", None, worked=True)]
    entry = Entry(
        slug=_free(_slug(story.text), taken),
        title=_opened(text),
        area=story.area,
        classes=(story.equipment_class,) if story.equipment_class else (),
        symptoms=(text,),
        causes=(Cause(cause, Likely.OFTEN),),
        checks=(),
        fixes=tuple(_fix(number, one, cause) for number, one in enumerate(fixes, 1)),
        swap=_swap(swaps, cause),
        sources=story.sources,
        about=(_ASKED, *_vain(tried)),
        first_acts=story.first_acts,
    )
    return render.to_markdown(entry)


def _once_each(tried: Iterable[Tried]) -> list[Tried]:
    """Return what was tried, each once even where it was tried again, what worked first."""
    found: dict[str, Tried] = {}
    for number, one in enumerate(tried):
        name = _line(one.what).casefold() or str(number)
        before = found.get(name)
        if before is None or (one.worked and not before.worked):
            found[name] = one
    return sorted(found.values(), key=lambda one: not one.worked)


def _vain(tried: Iterable[Tried]) -> tuple[str, ...]:
    """Return a paragraph on what did not help, if anything: nothing else of the draft says so."""
    found = "; ".join(_line(one.what) for one in tried if not one.worked)
    told = found if len(found) <= _VAIN else f"{found[:_VAIN]}…"
    return (f"It did not help that time: {told}. Does it stay?",) if found else ()


def _fix(number: int, tried: Tried, cause: str) -> Fix:
    cures = ((cause, _chance(tried)),)
    if isinstance(tried.told, Fix):
        return replace(tried.told, key=f"fix-{number}", cures=cures, after=())
    what = _line(tried.what)
    steps = "which steps?" if tried.seconds else "which steps, and how long do they take?"
    return Fix(
        key=f"fix-{number}",
        title=_opened(what or _WHAT_HELPED),
        takes_s=_rounded(tried.seconds or _USUAL_S),
        cures=cures,
        section=Section(
            steps=(f"{what}: {steps}" if what else _opened(steps),),
            see="what shows that it worked?",
        ),
    )


def _swap(swaps: Iterable[Tried], cause: str) -> Swap | None:
    for one in swaps:
        if isinstance(one.told, Swap):
            return replace(one.told, cures=((cause, _chance(one)),))
    return None


def _chance(tried: Tried) -> Chance:
    return Chance.USUALLY if tried.worked else Chance.RARELY


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


def _free(slug: str, taken: Collection[str]) -> str:
    """Return a slug that no entry has: with the first number behind it that makes it one."""
    number, free = 2, slug
    while free in taken:
        free = f"{slug[: _SLUG - len(str(number)) - 1].rstrip('-')}-{number}"
        number += 1
    return free
