"""The review of models: fetched here, computed in `exposure` and `rates`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from sqlmodel import Session, col, select

from kb.errors import InvalidError, Problem
from kb.faults import counting
from kb.faults.counting import Closed
from kb.records.settings import Settings
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, Model, StateSpell
from kb.review.methods import exposure, rates
from kb.review.methods.exposure import Days, Exposure, Spell, Unit

NO_MODEL = "its model is not known"
ValueT = TypeVar("ValueT")


@dataclass(frozen=True)
class ModelRow:
    """One model's failures.

    Attributes:
        model: Maker and name.
        equipment_class: Its class; empty where none is known.
        units: Units exposed in the window.
        unit_days: The sum of the days that each was exposed.
        failures: Failures counted on them.
        rate: Failures per unit and year of 365.25 days.
        low: Lower limit of the two-sided interval; 0 without a failure.
        high: Its upper limit.
        in_words: The row as a sentence, with its sample and interval.
    """

    model: str
    equipment_class: str
    units: int
    unit_days: int
    failures: int
    rate: float
    low: float
    high: float
    in_words: str


@dataclass(frozen=True)
class LeftOutRow:
    """A unit that no exposure can be stated for, or a failure that doesn't count."""

    item: str
    code: str
    model: str
    reason: str
    day: date | None = None


@dataclass(frozen=True)
class ModelReview:
    """The review of all models in a window [from, until)."""

    since: date
    until: date
    confidence: float
    models: tuple[ModelRow, ...]
    left_out: tuple[LeftOutRow, ...]
    not_counted: tuple[LeftOutRow, ...]


def review_models(
    session: Session,
    settings: Settings,
    now: datetime,
    *,
    since: date | None = None,
    until: date | None = None,
    confidence: float = rates.CONFIDENCE,
) -> ModelReview:
    """Return how often each model fails, the worst rate first.

    Args:
        session: The unit of work.
        settings: The workspace's zone and the day its log began.
        now: The time now.
        since: The first day looked at; the day the log began by default.
        until: The day after the last one looked at; tomorrow by default, so that today counts.
        confidence: Of each two-sided interval, between 0 and 1.

    Raises:
        InvalidError: `log_began` isn't set, the days are the wrong way round, or no such
            confidence.
    """
    began = _log_began(settings)
    if not 0 < confidence < 1:
        raise InvalidError([Problem("confidence", f"{confidence:g} isn't between 0 and 1.")])
    today = now.astimezone(settings.timezone).date()
    window = Days(since or began, until or today + timedelta(days=1))
    items = session.scalars(select(Item).where(col(Item.merged_into_id).is_(None))).all()
    models = {one.key: one for one in session.scalars(select(Model))}
    units = _units(session, items, settings.timezone)
    rows: list[ModelRow] = []
    left_out = [
        LeftOutRow(one.name, one.code, "", NO_MODEL) for one in items if one.model_id is None
    ]
    not_counted: list[LeftOutRow] = []
    for key, mine in _grouped((one.model_id, one) for one in items).items():
        name = f"{models[key].maker} {models[key].name}"
        found = exposure.of_units((units[one.key] for one in mine), log_began=began, window=window)
        called = {one.code: one.name for one in mine}  # a name may be given again
        left_out += [LeftOutRow(called[u.name], u.name, name, u.reason) for u in found.left_out]
        not_counted += [
            LeftOutRow(called[u.name], u.name, name, missed.reason, missed.day)
            for u in found.units
            for missed in u.not_counted
        ]
        rows += _row(name, models[key].equipment_class or "", found, confidence)
    rows.sort(key=lambda row: (-row.rate, -row.unit_days, row.model))
    return ModelReview(
        window.since, window.until, confidence, tuple(rows), tuple(left_out), tuple(not_counted)
    )


def _log_began(settings: Settings) -> date:
    if settings.log_began is None:
        raise InvalidError(
            [
                Problem(
                    "log_began",
                    "the day from which every fault was written down isn't set. Set it with "
                    "'kitlore settings log_began=2026-01-01'.",
                ),
            ],
        )
    return settings.log_began


def _row(name: str, kind: str, found: Exposure, confidence: float) -> list[ModelRow]:
    """Return the model's row, or nothing where none of its units was exposed."""
    if found.unit_days == 0:
        return []
    rate = rates.yearly_rate(found.failures, found.unit_days, confidence=confidence)
    return [
        ModelRow(
            model=name,
            equipment_class=kind,
            units=sum(1 for unit in found.units if unit.unit_days),
            unit_days=found.unit_days,
            failures=found.failures,
            rate=rate.rate,
            low=rate.low,
            high=rate.high,
            in_words=rates.in_words(found.failures, found.unit_days, confidence=confidence),
        ),
    ]


def _units(session: Session, items: Sequence[Item], zone: ZoneInfo) -> dict[int, Unit]:
    spells = _spells(session, zone)
    failures = _grouped((one.cause_item, one.day) for one in _failures(session, zone))
    return {
        one.key: Unit(
            one.code,
            one.in_service,
            tuple(spells.get(one.key, ())),
            tuple(failures.get(one.key, ())),
        )
        for one in items
    }


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
    begun = _grouped((item, (state, since.astimezone(zone).date())) for item, state, since in rows)
    return {
        item: [
            Spell(state, since, following[1] if following else None)
            for (state, since), following in zip(states, [*states[1:], None], strict=True)
        ]
        for item, states in begun.items()
    }


def _grouped(pairs: Iterable[tuple[int | None, ValueT]]) -> Mapping[int, list[ValueT]]:
    """Return key -> its values in order; what has no key is left out."""
    found: dict[int, list[ValueT]] = {}
    for key, value in pairs:
        if key is not None:
            found.setdefault(key, []).append(value)
    return found
