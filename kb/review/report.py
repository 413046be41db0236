"""The review of models: fetched here, computed in `exposure` and `rates`."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

import numpy as np
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from kb.records.settings import Settings
from kb.records.tables.gear import Item, Model, StateSpell
from kb.review import columns, gather
from kb.review.facts import Frame
from kb.review.methods import exposure, fleet, rates
from kb.review.methods.fleet import Whole

NO_MODEL = "its model is not known"
RETIRED = "retired"
_EPOCH = date(1970, 1, 1).toordinal()


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
    shared = gather.frame(session, settings, now, since=since, until=until, confidence=confidence)
    fleet = _fleet(session, settings, shared)
    models = {one.key: one for one in session.scalars(select(Model))}
    rows = [
        row
        for place, key in enumerate(fleet.models)
        for row in _row(models[key], fleet, place, confidence)
    ]
    rows.sort(key=lambda row: (-row.rate, -row.unit_days, row.model))
    names = {key: f"{one.maker} {one.name}" for key, one in models.items()}
    return ModelReview(
        shared.window.since,
        shared.window.until,
        confidence,
        tuple(rows),
        tuple(_left_out(fleet.things, names)),
        tuple(_not_counted(fleet, names)),
    )


def _row(model: Model, found: "_Fleet", place: int, confidence: float) -> list[ModelRow]:
    """Return the model's row, or nothing where none of its units was exposed."""
    days, failures = int(found.days_of[place]), int(found.failures_of[place])
    if days == 0:
        return []
    rate = rates.yearly_rate(failures, days, confidence=confidence)
    return [
        ModelRow(
            model=f"{model.maker} {model.name}",
            equipment_class=model.equipment_class or "",
            units=int(found.units_of[place]),
            unit_days=days,
            failures=failures,
            rate=rate.rate,
            low=rate.low,
            high=rate.high,
            in_words=rates.in_words(failures, days, confidence=confidence),
        ),
    ]


class _Thing(NamedTuple):
    """An item as the listings name it."""

    key: int
    code: str
    name: str
    model: int | None
    in_service: date | None


@dataclass(frozen=True)
class _Fleet:
    """All items, and the figures of those of a model and a known age, summed by model.

    Attributes:
        things: All items that aren't merged.
        known: Those of a model and a known age, in the order of the arrays.
        models: The models' keys, in the order of the sums.
        days_of: Unit-days.
        units_of: Units exposed.
        failures_of: Failures that count.
        unit: Whose each failure that doesn't count is.
        day: On which day.
        reason: Why, a place in `fleet.REASONS`.
    """

    things: tuple[_Thing, ...]
    known: tuple[_Thing, ...]
    models: tuple[int, ...]
    days_of: Whole
    units_of: Whole
    failures_of: Whole
    unit: Whole
    day: Whole
    reason: Whole


def _fleet(session: Session, settings: Settings, shared: Frame) -> _Fleet:
    wanted: list[Any] = [Item.id, Item.code, Item.name, Item.model_id, Item.in_service]
    rows = session.execute(select(*wanted).where(col(Item.merged_into_id).is_(None)))
    things = tuple(_Thing._make(row) for row in rows)
    known = tuple(one for one in things if one.model is not None and one.in_service is not None)
    models = tuple(dict.fromkeys(one.model for one in known if one.model is not None))
    at = {key: place for place, key in enumerate(models)}
    model = np.array([at[one.model] for one in known if one.model is not None], dtype=np.int64)
    begun = np.array([_number(one.in_service) for one in known], dtype=np.int64)
    span = fleet.Span(
        *(_number(each) for each in (shared.window.since, shared.window.until, shared.began))
    )
    gaps = _gaps(session, settings, {one.key: place for place, one in enumerate(known)})
    unit, day = _failures(session, settings, known)
    reason = fleet.verdicts(unit, day, begun, gaps, span)
    days = fleet.unit_days(begun, gaps, span)
    counted = reason == fleet.COUNTED
    return _Fleet(
        things=things,
        known=known,
        models=models,
        days_of=_summed(model, days, len(models)),
        units_of=_summed(model, days > 0, len(models)),
        failures_of=_summed(model[unit], counted, len(models)),
        unit=unit[~counted],
        day=day[~counted],
        reason=reason[~counted],
    )


def _summed(group: Whole, values: Any, count: int) -> Whole:  # noqa: ANN401 - numbers or bits
    return np.bincount(group, weights=values, minlength=count).astype(np.int64)


def _failures(
    session: Session, settings: Settings, known: tuple[_Thing, ...]
) -> tuple[Whole, Whole]:
    """Return unit and day of each failure, once a unit and day; of known units alone."""
    items, days = columns.failures(session, settings.timezone)
    keys = np.array([one.key for one in known], dtype=np.int64)
    order = np.argsort(keys)
    place = np.searchsorted(keys[order], items)
    found = place < len(keys)
    found[found] = keys[order][place[found]] == items[found]
    return fleet.distinct(order[place[found]], days[found])


def _gaps(session: Session, settings: Settings, place: Mapping[int, int]) -> fleet.Gaps:
    """Return when units were out of use; only those that ever were are looked at."""
    left = aliased(StateSpell)
    out = select(left.item_id).where(col(left.state).in_(exposure.OUT_OF_USE))
    rows = sorted(
        (place[item], _number(one.since), _number(one.until), one.state == RETIRED)
        for item, theirs in gather.spells(session, settings, out).items()
        if item in place
        for one in exposure.out_of_use(theirs)
    )
    table = np.array(rows, dtype=np.int64).reshape(-1, 4)
    return fleet.Gaps(table[:, 0], table[:, 1], table[:, 2], table[:, 3] == 1)


def _number(day: date | None) -> int:
    return fleet.FOR_EVER if day is None else day.toordinal() - _EPOCH


def _left_out(things: tuple[_Thing, ...], names: Mapping[int, str]) -> Iterator[LeftOutRow]:
    for one in things:
        if one.model is None:
            yield LeftOutRow(one.name, one.code, "", NO_MODEL)
    for one in things:
        if one.model is not None and one.in_service is None:
            yield LeftOutRow(one.name, one.code, names[one.model], exposure.NO_IN_SERVICE_DAY)


def _not_counted(found: _Fleet, names: Mapping[int, str]) -> Iterator[LeftOutRow]:
    for unit, day, reason in zip(
        found.unit.tolist(), found.day.tolist(), found.reason.tolist(), strict=True
    ):
        one = found.known[unit]
        if one.model is not None:
            told = (one.name, one.code, names[one.model], fleet.REASONS[reason])
            yield LeftOutRow(*told, date.fromordinal(day + _EPOCH))
