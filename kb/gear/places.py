"""Places: added, changed, moved in the tree, retired, merged."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from random import Random
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError
from kb.gear import ahead, items, lookup
from kb.gear.drafts import PlaceDraft
from kb.records import journal, merging
from kb.records.kinds import ItemState, PlaceKind
from kb.records.tables.gear import Item, Place

# What a site or a room has of its own; it holds for what lies in it too.
_OWN = ("minute_cost", "picture", "sound")


def add_place(
    session: Session,
    values: Mapping[str, Any],
    at: datetime,
    source: Random | None = None,
    code: str | None = None,
) -> str:
    """Add a place, and return the code on its label.

    Args:
        session: The unit of work.
        values: The fields of `PlaceDraft`, as typed.
        at: When its code is drawn.
        source: Where the chance for the code comes from; the system's by default.
        code: The one on a label printed ahead; a new one is drawn by default.

    Raises:
        ConflictError: There is one of that name there, or the code is in use.
        InvalidError: A field is wrong, or the code is none.
        NotFoundError: The place that it lies in is unknown.
    """
    draft = check(PlaceDraft, values)
    above = lookup.place(session, draft.within).key if draft.within else None
    _require_free(session, draft.name, above)
    place = Place(name=draft.name, kind=draft.kind, parent_id=above, **_own(draft))
    session.add(place)
    row = ahead.take(session, code, at) if code else items.draw_code(session, at, source)
    row.place_id = place.key
    session.flush()
    return row.code


def change_place(
    session: Session, typed: str, values: Mapping[str, Any], seen: int | None = None
) -> None:
    """Change a place, what it has of its own or what it lies in; what is not given stays.

    Raises:
        ConflictError: Changed since it was seen, the name is in use there, it would lie in
            itself, or be a position with several items.
        InvalidError: A field is wrong.
        NotFoundError: A place is unknown.
    """
    place = journal.for_change(session, Place, lookup.place(session, typed).key, seen)
    stands = {name: getattr(place, name) for name in ("name", "kind", *_OWN)}
    draft = check(PlaceDraft, {**stands, **values})
    above = place.parent_id
    if "within" in values:
        above = lookup.place(session, draft.within).key if draft.within else None
    if above is not None and place.key in lookup.Tree(session).above(above):
        raise ConflictError(f"{place.name} can't lie in itself or in what lies in it.")
    _require_free(session, draft.name, above, but=place.key)
    if draft.kind == PlaceKind.POSITION:
        _require_one_item(session, place.name, [place.key])
    place.name, place.kind, place.parent_id = draft.name, draft.kind, above
    for name, value in _own(draft).items():
        setattr(place, name, value)
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


def merge_place(session: Session, typed: str, into: str, seen: int | None = None) -> None:
    """Say that two places are one: all that lies in the first lies in the second.

    Raises:
        ConflictError: The first was changed since it was seen, both are one already, the second
            lies in the first, both hold a place of the same name, or the second is a position
            and both are filled.
        NotFoundError: One of them is unknown.
    """
    kept = journal.for_change(session, Place, lookup.place(session, into).key)
    gone = journal.for_change(session, Place, lookup.place(session, typed).key, seen)
    if kept.key == gone.key:
        raise ConflictError(f"{typed} and {into} are one place already.")
    if gone.key in lookup.Tree(session).above(kept.key):
        raise ConflictError(f"{into} lies in {typed}. Merge the other way round.")
    _require_other_names(session, gone, kept)
    if kept.kind == PlaceKind.POSITION:
        _require_one_item(session, kept.name, [gone.key, kept.key])
    gone.merged_into_id = kept.key
    session.flush()
    merging.repoint(session, Place, gone.key, kept.key)


def _own(draft: PlaceDraft) -> dict[str, Any]:
    return {name: getattr(draft, name) for name in _OWN}


def _require_free(session: Session, name: str, above: int | None, but: int | None = None) -> None:
    """Refuse a name in use there, whatever its case, since places are looked up so."""
    for place in _inside(session, above):
        if place.name.casefold() == name.casefold() and place.key != but:
            raise ConflictError(
                f"There is a place '{place.name}' there already. Take another name."
            )


def _require_other_names(session: Session, gone: Place, kept: Place) -> None:
    names = {place.name.casefold() for place in _inside(session, kept.key)}
    for place in _inside(session, gone.key):
        if place.name.casefold() in names:
            raise ConflictError(
                f"{gone.name} and {kept.name} both hold a place '{place.name}'. Merge those two "
                "first, or rename one."
            )


def _require_one_item(session: Session, name: str, keys: list[int]) -> None:
    there = session.scalars(
        select(Item.name).where(col(Item.place_id).in_(keys), Item.state != ItemState.RETIRED),
    ).all()
    if len(there) > 1:
        raise ConflictError(
            f"{name} is a position for one item, and {', '.join(there[:5])} lie there. Move the "
            "others first."
        )


def _inside(session: Session, above: int | None) -> Sequence[Place]:
    """Return the places in use right below one, or at the top."""
    return session.scalars(
        select(Place).where(
            Place.parent_id == above,
            col(Place.merged_into_id).is_(None),
            col(Place.retired_at).is_(None),
        ),
    ).all()
