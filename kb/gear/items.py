"""Items: added, changed, moved, set aside, retired, merged; nothing is ever deleted."""

import secrets
from collections.abc import Mapping
from datetime import datetime
from random import Random
from typing import Any

from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import ConflictError, InvalidError, Problem
from kb.gear import ahead, codes, duplicates, lookup, placing, retiring
from kb.gear.drafts import ItemDraft, MoveDraft, StateDraft
from kb.records import journal, merging
from kb.records.kinds import ItemState
from kb.records.tables.gear import Code, Item, Model, StateSpell, folded
from kb.records.tables.use import ServiceItem

_PLAIN = ("batch", "serial", "in_service", "bought", "supplier", "warranty_until", "note")
_DRAWS = 100


def add_item(
    session: Session,
    values: Mapping[str, Any],
    at: datetime,
    source: Random | None = None,
    code: str | None = None,
) -> str:
    """Add an item, and return the code on its label.

    Args:
        session: The unit of work.
        values: The fields of `ItemDraft`, as typed.
        at: From when it's here and fit.
        source: Where the chance for the code comes from; the system's by default.
        code: The one on a label printed ahead; a new one is drawn by default.

    Raises:
        ConflictError: The name or the code is in use, or the position is filled.
        InvalidError: A field is wrong, or the code is none.
        NotFoundError: The model or the place is unknown.
    """
    draft = check(ItemDraft, values)
    _require_free_name(session, draft.name)
    row = ahead.take(session, code, at) if code else draw_code(session, at, source)
    item = Item(code=row.code, name=draft.name)
    _fill(session, item, draft)
    session.add(item)
    session.flush()
    row.item_id = item.key
    session.add(StateSpell(item_id=item.key, state=ItemState.FIT, since=at))
    if draft.place:
        placing.put(session, item, lookup.place(session, draft.place), at)
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
        ConflictError: Changed since it was seen, the name is in use, the position is filled, or
            a retired item would move.
        InvalidError: A field is wrong.
        NotFoundError: The item, the model or the place is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    draft = check(ItemDraft, {**_as_typed(session, item), **values})
    if draft.name != item.name:
        _require_free_name(session, draft.name, but=item.key)
    item.rename(draft.name)
    _fill(session, item, draft)
    if "place" in values:
        place = lookup.place(session, draft.place) if draft.place else None
        if (place.key if place else None) != item.place_id:
            placing.put(session, item, place, at)
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
        InvalidError: The reason is no line of text.
        NotFoundError: The item or the place is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    draft = check(MoveDraft, {"place": place, "reason": reason})
    placing.put(session, item, lookup.place(session, draft.place), at, draft.reason)
    session.flush()


def set_state(
    session: Session,
    typed: str,
    state: str,
    at: datetime,
    reason: str | None = None,
    seen: int | None = None,
) -> tuple[int, ...]:
    """Say whether an item may be used, and return the links that this ended or joined again.

    Retiring ends its open links, gives its name free and asks for a reason. A state that was
    set by a slip is taken back by setting the right one from the same time on; within a day what
    the item joined is joined again, where it's free still.

    Raises:
        ConflictError: Changed since it was seen, in that state already, changed later than
            `at`, or its name or position was given to another while it was retired.
        InvalidError: A reason is missing, or there is no such state.
        NotFoundError: The item is unknown.
    """
    item = journal.for_change(session, Item, lookup.item(session, typed).key, seen)
    draft = check(StateDraft, {"state": state, "reason": reason})
    if item.state == draft.state:
        raise ConflictError(f"{item.name} is {item.state} already. Nothing was changed.")
    if draft.state in (ItemState.SET_ASIDE, ItemState.RETIRED) and not draft.reason:
        raise InvalidError([Problem("reason", f"say why it's {draft.state.value}.")])
    _require_latest(session, item, at)
    retired = retiring.since(session, item) if item.state == ItemState.RETIRED else None
    if item.state == ItemState.RETIRED:
        _require_free_name(session, item.name, but=item.key)
        placing.require_empty(session, item.place_id, item)
    spell = StateSpell(item_id=item.key, state=draft.state, since=at, reason=draft.reason)
    session.add(spell)
    item.state = draft.state
    session.flush()
    if draft.state == ItemState.RETIRED:
        return retiring.end_links(session, item, at)
    return retiring.join_again(session, item, retired, at) if retired else ()


def merge_item(
    session: Session,
    typed: str,
    into: str,
    at: datetime,
    seen: tuple[int | None, int | None] = (None, None),
) -> None:
    """Say that two records are one thing: everything moves to the second, both codes lead there.

    Args:
        session: The unit of work.
        typed: Code or name of the record that goes.
        into: Code or name of the one that stays.
        at: When.
        seen: The versions of the two that were looked at.

    Raises:
        ConflictError: One was changed since it was seen, both are one already, the second is out
            of use and the first is not, both are on loan, or their links can't be those of one
            thing.
        NotFoundError: One of them is unknown.
    """
    kept = journal.for_change(session, Item, lookup.item(session, into).key, seen[1])
    gone = journal.for_change(session, Item, lookup.item(session, typed).key, seen[0])
    duplicates.require_one_thing(session, gone, kept)
    duplicates.fill_up(kept, gone)
    doubled = merging.Lines(ServiceItem, of="service_id", names="item_id")
    merging.remove_doubled(session, doubled, gone.key, kept.key, at)
    # The doubled record's own states say nothing of the thing: it was one all the time.
    merging.repoint(session, Item, gone.key, kept.key, leaving=(StateSpell,))
    session.add(StateSpell(item_id=gone.key, state=ItemState.RETIRED, since=at, reason="merged"))
    gone.state, gone.merged_into_id = ItemState.RETIRED, kept.key
    kept.place_id = placing.newest(session, kept.key)
    session.flush()
    journal.add_step(session, kept, "merged_from", None, f"{gone.name} ({gone.code})")


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


def _require_free_name(session: Session, name: str, but: int | None = None) -> None:
    taken = session.scalars(
        select(Item).where(
            Item.name_folded == folded(name),
            Item.state != ItemState.RETIRED,
            col(Item.id).is_distinct_from(but),
        ),
    ).first()
    if taken is not None:
        raise ConflictError(
            f"There is an item '{taken.name}' in use ({codes.shown(taken.code)}). Take another "
            "name."
        )


def _require_latest(session: Session, item: Item, at: datetime) -> None:
    later = session.scalars(
        select(StateSpell).where(StateSpell.item_id == item.key, StateSpell.since > at),
    ).first()
    if later is not None:
        raise ConflictError(
            f"{item.name} became {later.state} later, at {later.since:%Y-%m-%d %H:%M} UTC. Give "
            "that time or a later one."
        )
