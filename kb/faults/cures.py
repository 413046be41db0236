"""What has worked before: on this item, and on others of its model."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, func, select
from sqlmodel import Session, col

from kb.entries import library, parse
from kb.faults import titles
from kb.gear import lookup
from kb.records.kinds import Outcome
from kb.records.tables.faults import Attempt, Fault
from kb.records.tables.gear import Item

_LOOKED_AT = 500
# Of a model that more units share than this only the newest attempts of the base are looked at.
_MANY_UNITS = 1_000
_NEWEST = 5_000


@dataclass(frozen=True)
class CureLine:
    """A fix that worked, however often.

    Attributes:
        title: The fix's heading, or what was done in words.
        entry: Slug of the entry; empty where the fix is of none.
        entry_title: The entry's title.
        here: How often it worked on the item itself.
        last_here: When it did last; None where it didn't yet.
        alike: How often on others of its model.
        last_alike: When it did last; None where it didn't yet.
        fault: The fault on which it worked last, one of the item's own before others.
        text: What had been reported there.
    """

    title: str
    entry: str
    entry_title: str
    here: int
    last_here: datetime | None
    alike: int
    last_alike: datetime | None
    fault: int
    text: str


@dataclass(frozen=True)
class _Made:
    """One attempt that worked: which fix of which entry, or what in words; on which fault."""

    entry: int | None
    fix: str
    at: datetime
    here: bool
    fault: int
    text: str


def cures_of(session: Session, typed: str, limit: int = 5) -> tuple[CureLine, ...]:
    """Return the fixes that worked, the most often on the item itself first.

    Args:
        session: The unit of work.
        typed: The item's code or name.
        limit: How many at most.

    Raises:
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    grouped: dict[tuple[int | None, str], list[_Made]] = {}
    for made in [*_worked_here(session, item), *_worked_alike(session, item)]:
        grouped.setdefault((made.entry, made.fix), []).append(made)
    chosen = sorted(grouped.items(), key=lambda pair: _rank(pair[1]), reverse=True)[:limit]
    texts = library.texts(session, [entry for (entry, _fix), _made in chosen if entry])
    return tuple(_line(texts.get(entry or 0), fix, made) for (entry, fix), made in chosen)


def _rank(made: list[_Made]) -> tuple[int, int, datetime]:
    here = sum(one.here for one in made)
    return here, len(made) - here, max(one.at for one in made)


def _worked_here(session: Session, item: Item) -> Iterable[_Made]:
    return _worked(session, [col(Fault.seen_item_id) == item.key], here=True)


def _worked_alike(session: Session, item: Item) -> Iterable[_Made]:
    """Return the attempts that worked on others of the model, the newest."""
    if item.model_id is None:
        return ()
    units = select(col(Item.id)).where(col(Item.model_id) == item.model_id).limit(_MANY_UNITS + 1)
    others = [col(Fault.seen_item_id) != item.key]
    if len(session.execute(units).all()) <= _MANY_UNITS:
        return _worked(session, [*others, col(Item.model_id) == item.model_id], here=False)
    newest = session.execute(select(func.max(Attempt.id))).scalar_one() or 0
    # Without its index the model is looked up for those attempts, not they for all its units.
    plain = func.coalesce(col(Item.model_id), 0) == item.model_id
    return _worked(session, [*others, plain, col(Attempt.id) > newest - _NEWEST], here=False)


def _worked(
    session: Session, conditions: Iterable[ColumnElement[bool]], *, here: bool
) -> Iterable[_Made]:
    rows = session.execute(
        select(
            *(col(Attempt.entry_id), col(Attempt.fix_key), col(Attempt.what), col(Attempt.at)),
            *(col(Fault.id), col(Fault.text)),
        )
        .join(Fault, col(Attempt.fault_id) == col(Fault.id))
        .join(Item, col(Fault.seen_item_id) == col(Item.id))
        .where(
            col(Attempt.outcome) == Outcome.WORKED, col(Attempt.struck_at).is_(None), *conditions
        )
        .order_by(col(Attempt.at).desc(), col(Attempt.id).desc())
        .limit(_LOOKED_AT),
    )
    return [
        _Made(entry, fix or what or "", at, here, fault, text)
        for entry, fix, what, at, fault, text in rows
    ]


def _line(text: str | None, fix: str, made: list[_Made]) -> CureLine:
    entry = parse.entry_from(text) if text is not None else None
    here, alike = ([one for one in made if one.here is own] for own in (True, False))
    last = (here or alike)[0]
    return CureLine(
        title=(titles.of_entry(entry) if entry else {}).get(fix, fix),
        entry=entry.slug if entry else "",
        entry_title=entry.title if entry else "",
        here=len(here),
        last_here=here[0].at if here else None,
        alike=len(alike),
        last_alike=alike[0].at if alike else None,
        fault=last.fault,
        text=last.text,
    )
