"""What a page on a fault shows, put together."""

from collections.abc import Mapping
from datetime import datetime

from sqlmodel import Session

from kb.crew import people
from kb.entries.library import EntryPage
from kb.errors import Problem
from kb.faults import closing, photos, story, views
from kb.faults.views import FaultPage
from kb.gear import pages as gear_pages
from kb.gear.views import ItemLine
from kb.records.kinds import CauseKind, Effect, FaultState, Role
from kb.records.workspace import Workspace
from kb.search.listing import Hit
from kb.web import airing, asking, explained, fixing
from kb.web.asking import Asked
from kb.web.shown import FaultView, FixStep

_FITTING = 4


def view(  # noqa: PLR0913 - each of another kind
    session: Session,
    place: Workspace,
    now: datetime,
    number: int,
    *,
    entry: str = "",
    typed: Mapping[str, str] | None = None,
    problems: tuple[Problem, ...] = (),
) -> FaultView:
    """Return a fault as its page shows it.

    Args:
        session: The unit of work.
        place: The workspace.
        now: The time now.
        number: The fault's number.
        entry: The entry to follow instead of the one that is kept.
        typed: What was typed before, after a mistake.
        problems: What is wrong with that.

    Raises:
        NotFoundError: The fault or the entry is unknown.
    """
    found = views.fault_page(session, number, now, place.settings.hold_days)
    slug = entry or found.line.entry
    followed = explained.entry_page(session, slug) if slug else None
    is_closed = found.line.state in (FaultState.CLOSED, FaultState.MISTAKEN)
    return FaultView(
        fault=found,
        entry=followed,
        fixes=_fixes(session, place, now, found, followed) if followed else (),
        fitting=() if is_closed else _fitting(session, place, now, found, slug),
        air=airing.air(session, now, found.line.place),
        spares=() if is_closed else _spares(session, found),
        kinds=tuple(CauseKind),
        likely=closing.likely_kind(session, number) or "",
        written=story.written_down(session, number) if is_closed else (),
        photos=photos.photos_of(session, number),
        effects=_effects(found),
        leads=() if is_closed else _leads(session),
        stands=stands(session, now, number),
        typed=typed or {},
        problems=problems,
    )


def stands(session: Session, now: datetime, number: int) -> str:
    """Return a mark that changes whenever the fault's page would show something else.

    Raises:
        NotFoundError: The fault is unknown.
    """
    near = airing.air(session, now)
    minutes = "" if near is None or near.minutes is None else f" {near.minutes} min"
    return views.version_of(session, number) + minutes


def _fixes(
    session: Session, place: Workspace, now: datetime, found: FaultPage, followed: EntryPage
) -> tuple[FixStep, ...]:
    slug = followed.line.slug
    ended = {
        one.fix: one.outcome for one in found.attempts if one.entry == slug and not one.struck
    }
    return fixing.steps(session, followed, now, place.settings, ended)


def _fitting(
    session: Session, place: Workspace, now: datetime, found: FaultPage, but: str
) -> tuple[Hit, ...]:
    asked = Asked(found.line.text, item=found.line.code)
    hits = asking.ask(session, place, now, asked).hits
    return tuple(hit for hit in hits if hit.kind == "entry" and hit.key != but)[:_FITTING]


def _effects(found: FaultPage) -> tuple[str, ...]:
    asked = found.line.state is FaultState.OPEN and found.line.effect == Effect.NONE
    return tuple(one for one in Effect if one is not Effect.NONE) if asked else ()


def _leads(session: Session) -> tuple[str, ...]:
    return tuple(one.name for one in people.people(session) if one.role == Role.LEAD)


def _spares(session: Session, found: FaultPage) -> tuple[ItemLine, ...]:
    if not found.line.code:
        return ()
    return gear_pages.item_page(session, found.line.code).spares
