"""Places: added, changed, moved in the tree, retired, merged."""

from collections.abc import Mapping
from datetime import datetime
from random import Random
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError
from kb.gear import items, lookup
from kb.gear.drafts import PlaceDraft
from kb.records import journal, merging
from kb.records.kinds import ItemState
from kb.records.tables.gear import Item, Place


def add_place(
    session: Session, values: Mapping[str, Any], at: datetime, source: Random | None = None
) -> str:
    """Add a place, and return the code drawn for its label.

    Args:
        session: The unit of work.
        values: The fields of `PlaceDraft`, as typed.
        at: When its code is drawn.
        source: Where the chance for the code comes from; the system's by default.

    Raises:
        ConflictError: There is one of that name there.
        InvalidError: A field is wrong.
        NotFoundError: The place that it lies in is unknown.
    """
    draft = check(PlaceDraft, values)
    above = lookup.place(session, draft.within).key if draft.within else None
    _require_free(session, draft.name, above)
    place = Place(name=draft.name, kind=draft.kind, parent_id=above)
    session.add(place)
    code = items.draw_code(session, at, source)
    code.place_id = place.key
    session.flush()
    return code.code


def change_place(
    session: Session, typed: str, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Change a place's name or kind, or what it lies in; what is not given stays.

    Raises:
        ConflictError: Changed since it was seen, the name is in use there, or it would lie in
            itself.
        InvalidError: A field is wrong.
        NotFoundError: A place is unknown.
    """
    place = journal.for_change(session, Place, lookup.place(session, typed).key, seen)
    draft = check(PlaceDraft, {"name": place.name, "kind": place.kind, **values})
    above = place.parent_id
    if "within" in values:
        above = lookup.place(session, draft.within).key if draft.within else None
    if above is not None and place.key in lookup.Tree(session).above(above):
        raise ConflictError(f"{place.name} can't lie in itself or in what lies in it.")
    if (draft.name, above) != (place.name, place.parent_id):
        _require_free(session, draft.name, above)
    place.name, place.kind, place.parent_id = draft.name, draft.kind, above
    session.flush()


def retire_place(session: Session, typed: str, at: datetime, seen: int | None = None) -> None:
    """Take a place out of use; nothing may lie in it any more.

    Raises:
        ConflictError: Changed since it was seen, or something lies in it.
        NotFoundError: The place is unknown.
    """
    place = journal.for_change(session, Place, lookup.place(session, typed).key, seen)
    inside = lookup.Tree(session).within(place.key) - {place.key}
    lying = session.scalars(
        select(Item.name).where(Item.place_id == place.key, Item.state != ItemState.RETIRED),
    ).all()
    if inside or lying:
        told = ", ".join(lying[:5]) or f"{len(inside)} places"
        raise ConflictError(f"{told} still lie in {place.name}. Move them first.")
    place.retired_at = at
    session.flush()


def merge_place(session: Session, typed: str, into: str) -> None:
    """Say that two places are one: all that lies in the first lies in the second.

    Raises:
        ConflictError: Both are one already, or one lies in the other.
        NotFoundError: One of them is unknown.
    """
    kept = lookup.place(session, into)
    gone = journal.for_change(session, Place, lookup.place(session, typed).key)
    if kept.key == gone.key:
        raise ConflictError(f"{typed} and {into} are one place already.")
    if gone.key in lookup.Tree(session).above(kept.key):
        raise ConflictError(f"{into} lies in {typed}. Merge the other way round.")
    gone.merged_into_id = kept.key
    session.flush()
    merging.repoint(session, Place, gone.key, kept.key)


def _require_free(session: Session, name: str, above: int | None) -> None:
    taken = session.scalars(
        select(Place).where(
            Place.name == name,
            Place.parent_id == above,
            col(Place.merged_into_id).is_(None),
            col(Place.retired_at).is_(None),
        ),
    ).first()
    if taken is not None:
        raise ConflictError(f"There is a place '{name}' there already. Take another name.")
