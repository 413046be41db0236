"""Shows: planned, changed, called off; which one a time belongs to, and the minutes to air."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from pydantic import ValidationInfo, field_validator
from sqlalchemy import ColumnElement
from sqlmodel import Session, and_, col, or_, select

from kb.checking import Draft, Line, Moment, OptionalLine, OptionalMoment, check
from kb.errors import ConflictError, NotFoundError
from kb.gear import lookup
from kb.records import journal
from kb.records.kinds import ShowKind
from kb.records.tables.base import is_key
from kb.records.tables.gear import Place
from kb.records.tables.use import Show

# What a show lasts where the plan doesn't say: common practice, no source.
SET_UP = timedelta(hours=6)
RUN = timedelta(hours=4)
_TIMES = ("set_up_from", "air_at", "ends_at")
Places = set[int] | None  # keys; None for anywhere
_STANDS = col(Show.cancelled_at).is_(None)


class ShowDraft(Draft):
    """A recording date; times are aware."""

    title: Line
    kind: ShowKind = ShowKind.SHOW
    place: OptionalLine = None
    air_at: Moment
    set_up_from: OptionalMoment = None
    ends_at: OptionalMoment = None

    @field_validator("set_up_from")
    @classmethod
    def _before_air(cls, value: datetime | None, info: ValidationInfo) -> datetime | None:
        air = info.data.get("air_at")
        if value is not None and air is not None and value > air:
            msg = "it's after the air time. Give an earlier time."
            raise ValueError(msg)
        return value

    @field_validator("ends_at")
    @classmethod
    def _after_air(cls, value: datetime | None, info: ValidationInfo) -> datetime | None:
        air = info.data.get("air_at")
        if value is not None and air is not None and value < air:
            msg = "it's before the air time. Give a later time."
            raise ValueError(msg)
        return value


@dataclass(frozen=True)
class ShowLine:
    """A show in a list.

    Attributes:
        number: The show's number.
        version: The version that is shown.
        title: What it's called.
        kind: 'show' or 'rehearsal'.
        place: The name of the place; None where none is said.
        set_up_from: From when the crew sets up; None where the plan doesn't say.
        air_at: The air time.
        ends_at: When it ends; None where the plan doesn't say.
        cancelled_at: When it was called off; None for one that stands.
    """

    number: int
    version: int
    title: str
    kind: str
    place: str | None
    set_up_from: datetime | None
    air_at: datetime
    ends_at: datetime | None
    cancelled_at: datetime | None


def add_show(session: Session, values: Mapping[str, Any]) -> int:
    """Plan a show, and return its number.

    Raises:
        InvalidError: A field of `ShowDraft` is wrong.
        NotFoundError: The place is unknown.
    """
    draft = check(ShowDraft, values)
    show = Show(title=draft.title, air_at=draft.air_at, place_id=_place_key(session, draft))
    _fill(show, draft)
    session.add(show)
    session.flush()
    return show.key


def change_show(
    session: Session, number: int, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Change fields of a show; those not given stay, an empty text empties a field.

    Raises:
        ConflictError: Changed since it was seen.
        InvalidError: A field of `ShowDraft` is wrong.
        NotFoundError: There is no such show or place.
    """
    show = journal.for_change(session, Show, number, seen)
    typed = {name: getattr(show, name) for name in ShowDraft.model_fields if name != "place"}
    draft = check(ShowDraft, {**typed, **values})
    _fill(show, draft)
    if "place" in values:
        show.place_id = _place_key(session, draft)
    session.flush()


def cancel_show(session: Session, number: int, at: datetime, seen: int | None = None) -> None:
    """Call a show off; it stays on record.

    Raises:
        ConflictError: Changed since it was seen, or called off already.
        NotFoundError: There is no such show.
    """
    show = journal.for_change(session, Show, number, seen)
    if show.cancelled_at is not None:
        raise ConflictError(f"{show.title} is called off already. Nothing was changed.")
    show.cancelled_at = at
    session.flush()


def reinstate_show(session: Session, number: int, seen: int | None = None) -> None:
    """Put a show that was called off back on the plan.

    Raises:
        ConflictError: Changed since it was seen, or not called off.
        NotFoundError: There is no such show.
    """
    show = journal.for_change(session, Show, number, seen)
    if show.cancelled_at is None:
        raise ConflictError(f"{show.title} is not called off. Nothing was changed.")
    show.cancelled_at = None
    session.flush()


def shows(
    session: Session, since: datetime, until: datetime, *, cancelled: bool = False
) -> tuple[ShowLine, ...]:
    """Return the shows whose air time is in [since, until), by air time.

    Args:
        session: The unit of work.
        since: The first air time.
        until: The first air time that is too late.
        cancelled: Whether those called off are listed too.
    """
    found = _lines(session, col(Show.air_at) >= since, col(Show.air_at) < until)
    return tuple(line for line in found if cancelled or line.cancelled_at is None)


def shows_at(session: Session, since: datetime, places: Places = None) -> tuple[ShowLine, ...]:
    """Return the shows on air from a time on, those called off too, in the order of air time.

    Args:
        session: The unit of work.
        since: Air times from it on.
        places: Keys of the places whose shows are wanted; those of all where it's left out.
    """
    return _lines(session, col(Show.air_at) >= since, *_there(places))


def show_lines(
    session: Session, at: datetime, *, past: bool = False, limit: int = 50, offset: int = 0
) -> tuple[ShowLine, ...]:
    """Return the shows to come or those past, the nearest first, those called off too.

    Args:
        session: The unit of work.
        at: One whose air time is earlier is past.
        past: Whether those past are wanted instead of those to come.
        limit: How many at most.
        offset: How many to leave out first.
    """
    air = col(Show.air_at)
    wanted, order = (air < at, air.desc()) if past else (air >= at, air.asc())
    return _lines(session, wanted, order=order, limit=limit, offset=offset)


def show_by(session: Session, number: int) -> ShowLine:
    """Return the show of that number.

    Raises:
        NotFoundError: There is none.
    """
    found = _lines(session, col(Show.id) == number) if is_key(number) else ()
    if not found:
        raise NotFoundError("show", str(number), "See 'kitlore show list'.")
    return found[0]


def next_show(session: Session, at: datetime, places: Places = None) -> ShowLine | None:
    """Return the next one to go on air at that time or later, or None where none is planned."""
    found = _lines(session, _STANDS, col(Show.air_at) >= at, *_there(places), limit=1)
    return found[0] if found else None


def minutes_to_air(session: Session, at: datetime, places: Places = None) -> int | None:
    """Return the whole minutes left before the next air time, or None where none is planned."""
    show = next_show(session, at, places)
    return None if show is None else (show.air_at - at) // timedelta(minutes=1)


def on_air(session: Session, at: datetime, places: Places = None) -> ShowLine | None:
    """Return the show that is on air at a time, or None; without an end it lasts 4 hours."""
    found = show_at(session, at, places)
    return found if found is not None and found.air_at <= at else None


def show_at(session: Session, at: datetime, places: Places = None) -> ShowLine | None:
    """Return the show that a time belongs to, or None.

    It belongs from the start of its set-up, or 6 hours before air, until its end, or 4 hours
    after air. Where it would belong to two, the one on air goes first, then the one whose air
    time is nearest. Where places are given, only shows there are looked at.
    """
    begun = or_(
        col(Show.set_up_from) <= at,
        and_(col(Show.set_up_from).is_(None), col(Show.air_at) <= at + SET_UP),
    )
    lasts = or_(
        col(Show.ends_at) > at,
        and_(col(Show.ends_at).is_(None), col(Show.air_at) > at - RUN),
    )
    found = _lines(session, _STANDS, begun, lasts, *_there(places))
    return min(found, key=lambda show: _distance(show, at), default=None)


def around(session: Session, place: int) -> set[int]:
    """Return the keys of a place, of what it lies in and of what lies in it."""
    tree = lookup.Tree(session)
    return {*tree.above(place), *tree.within(place)}


def _there(places: Places) -> tuple[ColumnElement[bool], ...]:
    """Return the condition that a show is at one of some places, or names none."""
    at = col(Show.place_id)
    return () if places is None else (or_(at.is_(None), at.in_(places)),)


def _distance(show: ShowLine, at: datetime) -> tuple[bool, timedelta, int]:
    on_air = show.ends_at is not None and show.air_at <= at < show.ends_at
    return not on_air, abs(show.air_at - at), show.number


def _lines(
    session: Session,
    *conditions: ColumnElement[bool],
    order: ColumnElement[datetime] | None = None,
    limit: int | None = None,
    offset: int = 0,
) -> tuple[ShowLine, ...]:
    found = session.execute(
        select(Show, Place.name)
        .outerjoin(Place, col(Show.place_id) == Place.id)
        .where(*conditions)
        .order_by(col(Show.air_at) if order is None else order, col(Show.id))
        .limit(limit)
        .offset(offset),
    )
    return tuple(
        ShowLine(
            number=show.key,
            version=show.version,
            title=show.title,
            kind=show.kind,
            place=place,
            cancelled_at=show.cancelled_at,
            set_up_from=show.set_up_from,
            air_at=show.air_at,
            ends_at=show.ends_at,
        )
        for show, place in found
    )


def _fill(show: Show, draft: ShowDraft) -> None:
    for name in ("title", "kind", *_TIMES):
        setattr(show, name, getattr(draft, name))


def _place_key(session: Session, draft: ShowDraft) -> int | None:
    return lookup.place(session, draft.place).key if draft.place else None
