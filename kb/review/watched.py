"""Since when each unit was watched, in which state, and when it failed: what exposure needs."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.errors import InvalidError, Problem
from kb.faults import counting
from kb.faults.counting import Closed
from kb.records.settings import Settings
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, StateSpell
from kb.records.tables.journal import Change
from kb.review.methods.exposure import Days, Spell, Unit

ValueT = TypeVar("ValueT")


def window(settings: Settings, now: datetime, since: date | None, until: date | None) -> Days:
    """Return the days looked at: from the day the log began, today included, unless said.

    Raises:
        InvalidError: `log_began` isn't set, or they are the wrong way round.
    """
    today = now.astimezone(settings.timezone).date()
    return Days(since or log_began(settings), until or today + timedelta(days=1))


def log_began(settings: Settings) -> date:
    """Return the day from which every fault was written down.

    Raises:
        InvalidError: It isn't set.
    """
    if settings.log_began is None:
        message = (
            "the day from which every fault was written down isn't set. Set it with "
            "'kitlore settings log_began=2026-01-01'."
        )
        raise InvalidError([Problem("log_began", message)])
    return settings.log_began


def units(session: Session, items: Sequence[Item], zone: ZoneInfo) -> dict[int, Unit]:
    """Return item key -> the item as its exposure needs it, named by its code."""
    spells = _spells(session, zone)
    failures = grouped((one.cause_item, one.day) for one in _failures(session, zone))
    return {
        one.key: Unit(
            one.code,
            one.in_service,
            tuple(spells.get(one.key, ())),
            tuple(failures.get(one.key, ())),
        )
        for one in items
    }


def data_version(session: Session) -> str:
    """Return what tells this state of the records from every earlier one: its newest change."""
    return str(session.scalar(select(func.max(Change.id))) or 0)


def grouped(pairs: Iterable[tuple[int | None, ValueT]]) -> Mapping[int, list[ValueT]]:
    """Return key -> its values in order; what has no key is left out."""
    found: dict[int, list[ValueT]] = {}
    for key, value in pairs:
        if key is not None:
            found.setdefault(key, []).append(value)
    return found


def _failures(session: Session, zone: ZoneInfo) -> list[Closed]:
    rows = session.execute(
        select(Fault.id, Fault.noticed_at, Fault.cause_item_id, Fault.cause_kind).where(
            col(Fault.merged_into_id).is_(None), col(Fault.cause_item_id).is_not(None)
        ),
    )
    return counting.failures(
        Closed(number, noticed.astimezone(zone).date(), item, kind)
        for number, noticed, item, kind in rows
    )


def _spells(session: Session, zone: ZoneInfo) -> dict[int, list[Spell]]:
    """Return item -> its states by day, each up to the next."""
    rows = session.execute(
        select(StateSpell.item_id, StateSpell.state, StateSpell.since).order_by(
            col(StateSpell.item_id), col(StateSpell.since), col(StateSpell.id)
        ),
    )
    begun = grouped((item, (state, since.astimezone(zone).date())) for item, state, since in rows)
    return {
        item: [
            Spell(state, since, following[1] if following else None)
            for (state, since), following in zip(states, [*states[1:], None], strict=True)
        ]
        for item, states in begun.items()
    }
