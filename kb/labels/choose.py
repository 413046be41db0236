"""Which labels: of things and places named, or of all in use; a cable has one for each end."""

from collections.abc import Mapping, Sequence
from typing import Literal
from zoneinfo import ZoneInfo

from sqlmodel import Session, col, func, select

from kb.errors import InvalidError, NotFoundError, Problem
from kb.gear import ahead, codes, lookup, views
from kb.gear.views import PlaceLine
from kb.labels import cable
from kb.labels.text import LabelText
from kb.labels.wishes import NOTHING, Extras
from kb.records.kinds import ItemState, ServiceKind
from kb.records.tables.gear import Item, Model
from kb.records.tables.use import Service, ServiceItem

CABLE = "cable"
_ENDS: tuple[Literal["A", "B"], ...] = ("A", "B")
_DIAMETER = "diameter"


def named(
    session: Session, typed: Sequence[str], extras: Extras = NOTHING
) -> tuple[LabelText, ...]:
    """Return the labels of the things, places and unused codes named, in that order.

    Raises:
        InvalidError: Nothing is named.
        NotFoundError: One of them is unknown.
    """
    if not typed:
        raise InvalidError([Problem("code", "name what to label, or say --all.")])
    tree = lookup.Tree(session)
    places = {line.path: line for line in views.place_lines(session)}
    made: list[LabelText] = []
    for one in typed:
        there = places.get(tree.path(_place(session, one, tree)))
        if there is not None:
            made.append(_of_place(there, extras, tree))
        elif codes.looks_like_code(one) and ahead.is_free(session, one):
            made += of_codes(session, [one])
        else:
            made += _of_items(session, [lookup.item(session, one)], extras)
    return tuple(made)


def all_items(session: Session, extras: Extras = NOTHING) -> tuple[LabelText, ...]:
    """Return the labels of every item not retired, by name.

    Raises:
        NotFoundError: There is no item yet.
    """
    in_use = select(Item).where(Item.state != ItemState.RETIRED)
    items = session.scalars(in_use.order_by(Item.name_order, col(Item.id))).all()
    if not items:
        raise NotFoundError("item in", "this workspace", "Add one with 'kitlore item add'.")
    return _of_items(session, items, extras)


def all_places(session: Session, extras: Extras = NOTHING) -> tuple[LabelText, ...]:
    """Return the labels of every place in use, in the order of the tree.

    Raises:
        NotFoundError: There is no place yet.
    """
    lines = views.place_lines(session)
    if not lines:
        raise NotFoundError("place in", "this workspace", "Add one with 'kitlore place add'.")
    tree = lookup.Tree(session)
    return tuple(_of_place(line, extras, tree) for line in lines)


def of_codes(session: Session, typed: Sequence[str]) -> tuple[LabelText, ...]:
    """Return labels that carry a code alone, to be stuck on what has no name yet.

    Raises:
        NotFoundError: A code was never drawn here, or none is given.
    """
    if not typed:
        raise NotFoundError(
            "unused code in", "this workspace", "Reserve some with 'kitlore label --new 100'."
        )
    for one in typed:
        if not ahead.reserved(session, one):
            told = "It was never drawn here. Labels printed ahead come from 'kitlore label --new'."
            raise NotFoundError("item or place", one, told)
    return tuple(LabelText(codes.read(one), "") for one in typed)


def _place(session: Session, typed: str, tree: lookup.Tree) -> int | None:
    """Return the key of the place of a code, or of a name that no item has."""
    if lookup.place_of_code(session, typed) is not None:
        return lookup.place(session, typed).key
    found = tree.named(typed)
    if not found or _is_item(session, typed):
        return None
    return found[0].key if len(found) == 1 else lookup.place(session, typed).key


def _is_item(session: Session, typed: str) -> bool:
    try:
        lookup.item(session, typed)
    except (InvalidError, NotFoundError):
        return False
    return True


def _of_place(line: PlaceLine, extras: Extras, tree: lookup.Tree) -> LabelText:
    above = next((one.parent_id for one in tree.places if tree.path(one.key) == line.path), None)
    lines = (_where(tree, above) if extras.place else "", _returned(extras))
    return LabelText(line.code, line.name, lines=tuple(filter(None, lines)))


def _of_items(session: Session, items: Sequence[Item], extras: Extras) -> tuple[LabelText, ...]:
    models = session.execute(
        select(col(Model.id), Model.technical).where(Model.equipment_class == CABLE)
    )
    thick = {key: _diameter(technical) or extras.diameter for key, technical in models}
    tree = lookup.Tree(session) if extras.place else None
    inspected = _inspections(session, extras.inspected) if extras.inspected else {}
    made: list[LabelText] = []
    for item in items:
        lines = (
            _where(tree, item.place_id) if tree else "",
            inspected.get(item.key, ""),
            _returned(extras),
        )
        said = tuple(filter(None, lines))
        if item.model_id in thick:
            width = thick[item.model_id]
            made += [LabelText(item.code, item.name, end, said, width) for end in _ENDS]
        else:
            made.append(LabelText(item.code, item.name, lines=said))
    return tuple(made)


def _where(tree: lookup.Tree, key: int | None) -> str:
    """Return where a place is, inmost first, since the end is what is cut."""
    names = {one.key: one.name for one in tree.places}
    return ", ".join(names[step] for step in tree.above(key)) if key in names else ""


def _diameter(technical: Mapping[str, object]) -> float | None:
    """Return the outer diameter that the technical data tell."""
    return cable.measured(str(technical.get(_DIAMETER, "")))


def _returned(extras: Extras) -> str:
    return f"Return to: {extras.return_to}" if extras.return_to else ""


def _inspections(session: Session, zone: ZoneInfo) -> dict[int, str]:
    """Return when items were inspected last, those that ever were."""
    found = session.execute(
        select(ServiceItem.item_id, func.max(col(Service.at)))
        .join(Service, col(Service.id) == ServiceItem.service_id)
        .where(Service.kind == ServiceKind.INSPECTION, col(ServiceItem.removed_at).is_(None))
        .group_by(col(ServiceItem.item_id)),
    )
    return {item: f"Inspected {at.astimezone(zone):%Y-%m-%d}" for item, at in found}
