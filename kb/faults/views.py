"""What a page or a list shows of faults."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func
from sqlmodel import Session, col, or_, select
from sqlmodel.sql.expression import SelectOfScalar

from kb.entries import library
from kb.faults import log, titles
from kb.faults.states import state_of
from kb.gear import lookup
from kb.records.kinds import FaultState
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Attempt, Fault, Photo
from kb.records.tables.gear import Item


@dataclass(frozen=True)
class FaultLine:
    """A fault in a list.

    Attributes:
        number: Its number.
        noticed_at: When it was noticed.
        state: Open, watched, closed, or mistaken.
        text: What was reported.
        item: Name of the item that it was seen on; empty where none is known.
        code: That item's code.
        place: Path of the place where it was seen.
        effect: What it did to the show.
        reporter: Who reported it.
        entry: Slug of the entry that fits; empty where none was named.
        minutes_lost: Minutes that it cost; None where nobody said.
        cause_item: Name of the item to blame.
        cause_kind: What kind of cause it was; empty while unknown.
    """

    number: int
    noticed_at: datetime
    state: FaultState
    text: str
    item: str
    code: str
    place: str
    effect: str
    reporter: str
    entry: str
    minutes_lost: int | None
    cause_item: str
    cause_kind: str


@dataclass(frozen=True)
class AttemptLine:
    """One attempt on a fault, told by the fix's heading; struck out ones say why."""

    number: int
    at: datetime
    by: str
    entry: str
    fix: str
    title: str
    what: str
    outcome: str
    minutes: float | None
    struck: str
    version: int


@dataclass(frozen=True)
class FaultPage:
    """A fault with all that is known of it."""

    line: FaultLine
    end: str
    restored_at: datetime | None
    closed_at: datetime | None
    reopened_at: datetime | None
    cause_note: str
    show: int | None
    attempts: tuple[AttemptLine, ...]
    version: int


def fault_lines(  # noqa: PLR0913 - each narrows the list
    session: Session,
    now: datetime,
    hold_days: int,
    *,
    state: FaultState | None = None,
    item: str | None = None,
    place: str | None = None,
    entry: str | None = None,
    text: str | None = None,
    limit: int = 50,
    offset: int = 0,
) -> tuple[FaultLine, ...]:
    """Return faults, newest first; those logged by mistake only where that state is asked for.

    Args:
        session: The unit of work.
        now: The time now.
        hold_days: For how many days a fix must hold.
        state: Only those in this state.
        item: Only those seen on, or caused by, the item of this name or code.
        place: Only those seen at the place of this name, code or path, or within it.
        entry: Only those that the entry of this slug fits.
        text: Only those that have all these words, in the report or in what it was.
        limit: How many at most.
        offset: How many to leave out first.

    Raises:
        ConflictError: Several places have that name.
        NotFoundError: The item, the place or the entry is unknown.
    """
    query = select(Fault).where(col(Fault.merged_into_id).is_(None))
    if item is not None:
        key = lookup.item(session, item).key
        query = query.where((Fault.seen_item_id == key) | (Fault.cause_item_id == key))
    if place is not None:
        within = lookup.Tree(session).within(lookup.place(session, place).key)
        query = query.where(col(Fault.seen_place_id).in_(within))
    if entry is not None:
        query = query.where(Fault.entry_id == library.entry_by(session, entry).key)
    for word in (text or "").split():
        said = (
            col(one).icontains(word, autoescape=True) for one in (Fault.text, Fault.cause_note)
        )
        query = query.where(or_(*said))
    query = _in_state(query, state, now - timedelta(days=hold_days))
    query = query.order_by(col(Fault.noticed_at).desc(), col(Fault.id).desc())
    found = session.scalars(query.limit(limit).offset(offset)).all()
    return _lines(session, found, now, hold_days)


def fault_page(session: Session, number: int, now: datetime, hold_days: int) -> FaultPage:
    """Return a fault with its attempts.

    Raises:
        NotFoundError: There is none of that number.
    """
    fault = log.fault_by(session, number)
    return FaultPage(
        line=_lines(session, [fault], now, hold_days)[0],
        end=fault.cable_end or "",
        restored_at=fault.restored_at,
        closed_at=fault.closed_at,
        reopened_at=fault.reopened_at,
        cause_note=fault.cause_note or "",
        show=fault.show_id,
        attempts=_attempts(session, fault.key),
        version=fault.version,
    )


def version_of(session: Session, number: int) -> str:
    """Return a mark that changes whenever a fault, an attempt on it or a picture does.

    Raises:
        NotFoundError: There is none of that number.
    """
    fault = log.fault_by(session, number)
    parts = [str(fault.version)]
    for table in (Attempt, Photo):
        count, changes = session.execute(
            select(func.count(), func.sum(table.version)).where(table.fault_id == fault.key)
        ).one()
        parts.append(f"{count}.{changes or 0}")
    return "-".join(parts)


def _in_state(
    query: SelectOfScalar[Fault], state: FaultState | None, held_since: datetime
) -> SelectOfScalar[Fault]:
    """Narrow to a state; the same rule as `states.state_of`, as a query."""
    restored, closed = col(Fault.restored_at), col(Fault.closed_at)
    if state is FaultState.MISTAKEN:
        return query.where(col(Fault.mistaken_at).is_not(None))
    query = query.where(STANDS)
    if state is FaultState.OPEN:
        return query.where(restored.is_(None))
    if state is FaultState.WATCHED:
        return query.where(restored > held_since, closed.is_(None))
    if state is FaultState.CLOSED:
        return query.where(restored.is_not(None), closed.is_not(None) | (restored <= held_since))
    return query


def _lines(
    session: Session, found: Sequence[Fault], now: datetime, hold_days: int
) -> tuple[FaultLine, ...]:
    wanted = {key for one in found for key in (one.seen_item_id, one.cause_item_id) if key}
    items = {one.key: one for one in session.scalars(select(Item).where(col(Item.id).in_(wanted)))}
    slugs = _slugs(session, {one.entry_id for one in found if one.entry_id})
    tree = lookup.Tree(session, retired=True, of={one.seen_place_id for one in found})
    hold = timedelta(days=hold_days)
    return tuple(
        FaultLine(
            number=one.key,
            noticed_at=one.noticed_at,
            state=_state(one, now, hold),
            text=one.text,
            item=items[one.seen_item_id].name if one.seen_item_id else "",
            code=items[one.seen_item_id].code if one.seen_item_id else "",
            place=tree.path(one.seen_place_id),
            effect=one.effect,
            reporter=one.reporter,
            entry=slugs[one.entry_id] if one.entry_id else "",
            minutes_lost=one.minutes_lost,
            cause_item=items[one.cause_item_id].name if one.cause_item_id else "",
            cause_kind=one.cause_kind or "",
        )
        for one in found
    )


def _state(fault: Fault, now: datetime, hold: timedelta) -> FaultState:
    mistaken = fault.mistaken_at is not None
    return state_of(fault.restored_at, fault.closed_at, now, hold, mistaken=mistaken)


def _slugs(session: Session, keys: set[int]) -> dict[int, str]:
    rows = session.execute(select(Entry.id, Entry.slug).where(col(Entry.id).in_(keys)))
    return {key: slug for key, slug in rows if key is not None}


def _attempts(session: Session, fault: int) -> tuple[AttemptLine, ...]:
    found = session.scalars(
        select(Attempt)
        .where(Attempt.fault_id == fault)
        .order_by(col(Attempt.at), col(Attempt.id)),
    ).all()
    entries = {one.entry_id for one in found if one.entry_id}
    slugs, headings = _slugs(session, entries), titles.of_entries(session, entries)
    return tuple(
        AttemptLine(
            number=one.key,
            at=one.at,
            by=one.by,
            entry=slugs[one.entry_id] if one.entry_id else "",
            fix=one.fix_key or "",
            title=headings.get(
                (one.entry_id or 0, one.fix_key or ""), one.what or one.fix_key or ""
            ),
            what=one.what or "",
            outcome=one.outcome,
            minutes=one.minutes,
            struck=(one.struck_reason or "") if one.struck_at else "",
            version=one.version,
        )
        for one in found
    )
