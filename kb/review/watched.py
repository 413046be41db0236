"""Since when each unit was watched, in which state, and when it failed: what exposure needs."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, Protocol, TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy import BigInteger, cast, extract, func
from sqlmodel import Session, col, select

from kb.errors import InvalidError, Problem
from kb.records.kinds import FAILURE_KINDS
from kb.records.settings import Settings
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import StateSpell
from kb.records.tables.journal import Change
from kb.review.methods.exposure import Days, Spell, Unit

ValueT = TypeVar("ValueT")
_AT_ONCE = 10_000
_QUARTER = 900


class Known(Protocol):
    """An item as far as its exposure needs it."""

    @property
    def key(self) -> int:
        """Its key."""

    @property
    def code(self) -> str:
        """Its code."""

    @property
    def in_service(self) -> date | None:
        """The day it was put in service."""


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


def units(session: Session, items: Iterable[Known], zone: ZoneInfo) -> dict[int, Unit]:
    """Return item key -> the item as its exposure needs it, named by its code."""
    days = _Days(zone)
    spells, failures = _spells(session, days), _failures(session, days)
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


def _failures(session: Session, days: "_Days") -> dict[int, set[date]]:
    """Return item -> the days on which it failed: `counting.failures` without their numbers."""
    rows = session.execute(
        select(_seconds(Fault.noticed_at), Fault.cause_item_id).where(
            STANDS,
            col(Fault.cause_item_id).is_not(None),
            col(Fault.cause_kind).in_(FAILURE_KINDS),
        ),
        execution_options={"yield_per": _AT_ONCE},
    )
    found: dict[int, set[date]] = {}
    for seconds, item in rows:
        found.setdefault(item, set()).add(days[seconds // _QUARTER])
    return found


def _spells(session: Session, days: "_Days") -> dict[int, list[Spell]]:
    """Return item -> its states by day, each up to the next."""
    rows = session.execute(
        select(StateSpell.item_id, StateSpell.state, _seconds(StateSpell.since)).order_by(
            col(StateSpell.item_id), col(StateSpell.since), col(StateSpell.id)
        ),
        execution_options={"yield_per": _AT_ONCE},
    )
    begun = grouped((item, (state, days[since // _QUARTER])) for item, state, since in rows)
    return {
        item: [
            Spell(state, since, following[1] if following else None)
            for (state, since), following in zip(states, [*states[1:], None], strict=True)
        ]
        for item, states in begun.items()
    }


def _seconds(column: object) -> Any:  # noqa: ANN401 - SQLAlchemy's own
    """Return a time as seconds since 1970: a tenth of what it costs to read it as a time."""
    return cast(extract("epoch", col(column)), BigInteger)


class _Days(dict[int, date]):
    """Quarter of an hour since 1970 -> the day it falls on in a zone; no zone cuts finer."""

    def __init__(self, zone: ZoneInfo) -> None:
        super().__init__()
        self._zone = zone

    def __missing__(self, quarter: int) -> date:
        self[quarter] = datetime.fromtimestamp(quarter * _QUARTER, self._zone).date()
        return self[quarter]
