"""Items: added, changed, moved, set aside, retired, merged; nothing is ever deleted."""

import secrets
from collections.abc import Mapping
from datetime import datetime
from random import Random
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError, InvalidError, Problem
from kb.gear import codes, lookup
from kb.gear.drafts import ItemDraft
from kb.records import journal, merging
from kb.records.kinds import ItemState, PlaceKind
from kb.records.tables.gear import Code, Item, Model, Place, Placement, StateSpell
from kb.records.tables.use import Link

_PLAIN = ("batch", "serial", "in_service", "bought", "supplier", "warranty_until", "note")
_DRAWS = 100


def add_item(
    session: Session, values: Mapping[str, Any], at: datetime, source: Random | None = None
) -> str:
    """Add an item, and return the code drawn for its label.

    Args:
        session: The unit of work.
        values: The fields of `ItemDraft`, as typed.
        at: From when it's here and fit.
        source: Where the chance for the code comes from; the system's by default.

    Raises:
        ConflictError: The name is in use, or the position is filled.
        InvalidError: A field is wrong.
        NotFoundError: The model or the place is unknown.
    """
    draft = check(ItemDraft, values)
    _require_free_name(session, draft.name)
    code = draw_code(session, at, source)
    item = Item(code=code.code, name=draft.name)
    _fill(session, item, draft)
    session.add(item)
    session.flush()
    code.item_id = item.key
    session.add(StateSpell(item_id=item.key, state=ItemState.FIT, since=at))
    if draft.place:
        _put(session, item, draft.place, at, None)
    session.flush()
    return item.code


def change_item(
    session: Session, typed: str, values: Mapping[str, Any], at: datetime, seen: int | None = None
) -> None:
    """Change fields of an item; those not given stay.

    Args:
        session: The unit of work.
        typed: Its code or name.
        values: The fields of `ItemDraft` to change, as typed; an empty text empties a field.
        at: When, for a change of place.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen, the name is in use, the position is filled.
        InvalidError: A field is wrong.
        NotFoundError: The item, the model or the place is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    draft = check(ItemDraft, {**_as_typed(session, item), **values})
    if draft.name != item.name:
        _require_free_name(session, draft.name)
    item.name = draft.name
    _fill(session, item, draft)
    if draft.place and values.get("place"):
        _put(session, item, draft.place, at, None)
    session.flush()


def move_item(
    session: Session,
    typed: str,
    place: str,
    at: datetime,
    reason: str | None = None,
    seen: int | None = None,
) -> None:
    """Put an item at a place; where it lay before stays known.

    Raises:
        ConflictError: Changed since it was seen, retired, or the position is filled.
        NotFoundError: The item or the place is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    _require_in_use(item)
    _put(session, item, place, at, reason)
    session.flush()


def set_state(
    session: Session,
    typed: str,
    state: ItemState,
    at: datetime,
    reason: str | None = None,
    seen: int | None = None,
) -> None:
    """Say whether an item may be used: fit, doubtful, set aside or retired.

    Retiring ends its open links, gives its name free and asks for a reason.

    Raises:
        ConflictError: Changed since it was seen, or it's in that state already.
        InvalidError: A reason is missing.
        NotFoundError: The item is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    if item.state == state:
        raise ConflictError(f"{item.name} is {state.value} already. Nothing was changed.")
    if state in (ItemState.SET_ASIDE, ItemState.RETIRED) and not (reason or "").strip():
        raise InvalidError([Problem("reason", f"say why it's {state.value}.")])
    if item.state == ItemState.RETIRED:
        _require_free_name(session, item.name)
    session.add(StateSpell(item_id=item.key, state=state, since=at, reason=reason))
    session.flush()
    item.state = _latest(session, item.key).state
    if state == ItemState.RETIRED:
        _end_links(session, item.key, at)
    session.flush()


def merge_item(session: Session, typed: str, into: str, at: datetime) -> None:
    """Say that two records are one thing: everything moves to the second, both codes lead there.

    Raises:
        ConflictError: Both are one already, or both have an open link, loan or port.
        NotFoundError: One of them is unknown.
    """
    kept = lookup.item(session, into)
    gone = journal.for_change(session, Item, lookup.item(session, typed).key)
    if kept.key == gone.key:
        raise ConflictError(f"{typed} and {into} are one item already.")
    for name in ("model_id", "place_id", "serial", "batch", "bought", "price_minor"):
        if getattr(kept, name) is None:
            setattr(kept, name, getattr(gone, name))
    begun = [day for day in (kept.in_service, gone.in_service) if day is not None]
    kept.in_service = min(begun, default=None)
    # The doubled record's own states say nothing of the thing: it was one all the time.
    merging.repoint(session, Item, gone.key, kept.key, leaving=(StateSpell,))
    session.add(
        StateSpell(item_id=gone.key, state=ItemState.RETIRED, since=at, reason="merged"),
    )
    gone.state, gone.merged_into_id = ItemState.RETIRED, kept.key
    session.flush()


def draw_code(session: Session, at: datetime, source: Random | None = None) -> Code:
    """Draw a code that was never drawn before, and keep it drawn.

    Raises:
        ConflictError: A hundred draws were all taken.
    """
    chance = source or secrets.SystemRandom()
    for _ in range(_DRAWS):
        code = codes.make(chance)
        if session.get(Code, code) is None:
            row = Code(code=code, drawn_at=at)
            session.add(row)
            session.flush()
            return row
    raise ConflictError(f"{_DRAWS} codes drawn were all in use. Tell who keeps this base.")


def _fill(session: Session, item: Item, draft: ItemDraft) -> None:
    for name in _PLAIN:
        setattr(item, name, getattr(draft, name))
    item.price_minor = draft.price
    item.model_id = lookup.model(session, draft.model).key if draft.model else None


def _as_typed(session: Session, item: Item) -> dict[str, Any]:
    """Return the item's fields in the form of its draft, the place left out."""
    model = lookup.by_key(session, Model, item.model_id) if item.model_id else None
    return {
        "name": item.name,
        "model": f"{model.maker} {model.name}" if model else None,
        "price": item.price_minor,
        **{name: getattr(item, name) for name in _PLAIN},
    }


def _put(session: Session, item: Item, typed: str, at: datetime, reason: str | None) -> None:
    place = lookup.place(session, typed)
    if place.kind == PlaceKind.POSITION:
        _require_empty(session, place, item)
    session.add(Placement(item_id=item.key, place_id=place.key, since=at, reason=reason))
    session.flush()
    newest = session.scalars(
        select(Placement)
        .where(Placement.item_id == item.key)
        .order_by(col(Placement.since).desc(), col(Placement.id).desc()),
    ).first()
    item.place_id = newest.place_id if newest else place.key


def _require_empty(session: Session, place: Place, item: Item) -> None:
    journal.for_change(session, Place, place.key)  # one filler at a time
    there = session.scalars(
        select(Item).where(
            Item.place_id == place.key, Item.state != ItemState.RETIRED, Item.id != item.key
        ),
    ).first()
    if there is not None:
        raise ConflictError(
            f"{place.name} is a position and {there.name} fills it. Move {there.name} first."
        )


def _require_in_use(item: Item) -> None:
    if item.state == ItemState.RETIRED:
        raise ConflictError(f"{item.name} is retired. Make it fit again first.")


def _require_free_name(session: Session, name: str) -> None:
    taken = session.scalars(
        select(Item).where(Item.name == name, Item.state != ItemState.RETIRED),
    ).first()
    if taken is not None:
        raise ConflictError(
            f"There is an item '{name}' in use ({codes.shown(taken.code)}). Take another name."
        )


def _latest(session: Session, key: int) -> StateSpell:
    found = session.scalars(
        select(StateSpell)
        .where(StateSpell.item_id == key)
        .order_by(col(StateSpell.since).desc(), col(StateSpell.id).desc()),
    ).all()
    return found[0]  # the spell just added is among them


def _end_links(session: Session, key: int, at: datetime) -> None:
    found = session.scalars(
        select(Link).where(
            col(Link.until).is_(None),
            (col(Link.cable_id) == key)
            | (col(Link.from_item_id) == key)
            | (col(Link.to_item_id) == key),
        ),
    )
    for link in found:
        link.until = max(at, link.since)
