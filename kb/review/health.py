"""Data health: what is missing or contradicts itself, since the review is only as good."""

from dataclasses import dataclass

from sqlalchemy import ColumnElement
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from kb.records.kinds import ItemState
from kb.records.settings import Settings
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model
from kb.records.tables.use import Link

_MOST = 200


@dataclass(frozen=True)
class Gap:
    """One thing to mend.

    Attributes:
        name: What is told of it: an item's or a model's name, or a fault's words.
        address: Where it's mended.
    """

    name: str
    address: str


@dataclass(frozen=True)
class Finding:
    """A kind of gap.

    Attributes:
        title: What is missing.
        why: What the review loses by it.
        gaps: Where, two hundred at most.
    """

    title: str
    why: str
    gaps: tuple[Gap, ...]


def health(session: Session, settings: Settings) -> tuple[Finding, ...]:
    """Return every kind of gap that there is, those that spoil most first."""
    looked = (
        _log_began(settings),
        _items(session, "Items without an in-service date", _NO_DATE, Item.in_service),
        _items(session, "Items without a model", _NO_MODEL, Item.model_id),
        _models(session),
        _faults(session),
        _links(session),
    )
    return tuple(one for one in looked if one.gaps)


_NO_DATE = "They are left out of every rate: their exposure can't be stated."
_NO_MODEL = "Their failures are counted under no model."


def _log_began(settings: Settings) -> Finding:
    gaps = () if settings.log_began else (Gap("kitlore settings log_began=2026-01-01", "/health"),)
    why = "Without the day from which every fault was written down there is no exposure."
    return Finding("The day the log began isn't set", why, gaps)


def _items(session: Session, title: str, why: str, column: object) -> Finding:
    missing: ColumnElement[bool] = col(column).is_(None)
    rows = session.execute(
        select(Item.name, Item.code)
        .where(missing, Item.state != ItemState.RETIRED)
        .order_by(col(Item.name))
        .limit(_MOST),
    )
    return Finding(title, why, tuple(Gap(name, f"/{code}/change") for name, code in rows))


def _models(session: Session) -> Finding:
    rows = session.execute(
        select(Model.maker, Model.name)
        .where(col(Model.equipment_class).is_(None), col(Model.merged_into_id).is_(None))
        .order_by(col(Model.maker), col(Model.name))
        .limit(_MOST),
    )
    gaps = tuple(Gap(f"{maker} {name}", "/gear/models") for maker, name in rows)
    why = "They are compared with nothing, and get no usual symptoms."
    return Finding("Models without a class", why, gaps)


def _faults(session: Session) -> Finding:
    rows = session.execute(
        select(Fault.id, Fault.text)
        .where(
            col(Fault.restored_at).is_not(None),
            col(Fault.cause_kind).is_(None),
            STANDS,
        )
        .order_by(col(Fault.noticed_at).desc())
        .limit(_MOST),
    )
    gaps = tuple(Gap(f"{key}: {text}", f"/faults/{key}") for key, text in rows)
    why = "They count as no failure of anything."
    return Finding("Faults restored without a cause", why, gaps)


def _links(session: Session) -> Finding:
    """Return open links whose ends or cable are out of use."""
    cable, start, end = aliased(Item), aliased(Item), aliased(Item)
    gone = [
        col(one.state).in_((ItemState.RETIRED, ItemState.SET_ASIDE)) for one in (cable, start, end)
    ]
    rows = session.execute(
        select(Link, start.name, end.name)
        .join(start, col(Link.from_item_id) == start.id)
        .join(end, col(Link.to_item_id) == end.id)
        .outerjoin(cable, col(Link.cable_id) == cable.id)
        .where(col(Link.until).is_(None), gone[0] | gone[1] | gone[2])
        .limit(_MOST),
    )
    gaps = tuple(
        Gap(f"link {link.key}: {a} {link.from_port} to {b} {link.to_port}", f"/links/{link.key}")
        for link, a, b in rows
    )
    why = "The signal path shown leads through something that isn't in use."
    return Finding("Links that lead through gear out of use", why, gaps)
