"""The review of models: fetched here, computed in `exposure` and `rates`."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlmodel import Session, col, select

from kb.errors import InvalidError, Problem
from kb.records.settings import Settings
from kb.records.tables.gear import Item, Model
from kb.review import watched
from kb.review.methods import exposure, rates
from kb.review.methods.exposure import Exposure

NO_MODEL = "its model is not known"


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


class _Item(NamedTuple):
    """What the review needs of an item; the whole of it would take ten times as long to read."""

    key: int
    code: str
    name: str
    model_id: int | None
    in_service: date | None


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
    began = watched.log_began(settings)
    if not 0 < confidence < 1:
        raise InvalidError([Problem("confidence", f"{confidence:g} isn't between 0 and 1.")])
    window = watched.window(settings, now, since, until)
    items = _items(session)
    models = {one.key: one for one in session.scalars(select(Model))}
    units = watched.units(session, items, settings.timezone)
    rows: list[ModelRow] = []
    left_out = [
        LeftOutRow(one.name, one.code, "", NO_MODEL) for one in items if one.model_id is None
    ]
    not_counted: list[LeftOutRow] = []
    for key, mine in watched.grouped((one.model_id, one) for one in items).items():
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


def _items(session: Session) -> list[_Item]:
    columns: list[Any] = [Item.id, Item.code, Item.name, Item.model_id, Item.in_service]
    rows = session.execute(select(*columns).where(col(Item.merged_into_id).is_(None)))
    return [_Item(*row) for row in rows]


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
