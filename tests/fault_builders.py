"""Entries and faults that tests are built from: valid by default, one thing overridden."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sqlmodel import Session

from kb.entries import library, render
from kb.entries.model import Entry, Fix, Section, Swap
from kb.entries.words import Area
from kb.faults import attempts, log
from kb.records.kinds import Outcome

NOW = datetime(2026, 3, 19, 12, 0, tzinfo=UTC)
WORKED, FAILED = Outcome.WORKED, Outcome.DID_NOT_WORK


def an_entry_text(slug: str = "display-no-signal", **over: Any) -> str:  # noqa: ANN401
    """Return the text of an entry with two fixes and a swap, in house form."""
    told = Section(steps=("Pull the lead, push it in.",), see="the picture.")
    values: dict[str, Any] = {
        "slug": slug,
        "title": "Screen says no signal",
        "area": Area.DISPLAYS,
        "classes": ("display",),
        "symptoms": ("the screen says nothing is connected",),
        "causes": (),
        "checks": (),
        "fixes": (Fix("replug", "Replug it", 30, section=told), Fix("restart", "Restart", 90)),
        "swap": Swap("Swap the lead", 120),
        "sources": ("common practice, no source",),
    }
    return render.to_markdown(Entry(**(values | over)))


def an_entry(session: Session, slug: str = "display-no-signal", at: datetime = NOW) -> str:
    """Return the slug of an entry that was saved."""
    return library.save_entry(session, an_entry_text(slug), at).slug


def a_fault(
    session: Session, item: str | None = "CC-01", at: datetime = NOW, **over: object
) -> int:
    """Return the number of a fault that was logged."""
    values = {"text": "five is greenish since power-up", "item": item, **over}
    return log.log_fault(session, values, at)


def a_try(
    session: Session, fault: int, fix: str = "replug", *, at: datetime = NOW, **over: object
) -> int:
    """Return the number of an attempt, one that worked unless told otherwise."""
    values: Mapping[str, object] = {"fix": fix, "outcome": WORKED, **over}
    return attempts.record_attempt(session, fault, values, at)
