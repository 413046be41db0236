"""What is known beside the words: the item that was scanned, its like, and what it's joined to."""

from collections.abc import Mapping

from sqlmodel import Session, col, select

from kb.entries import library, parse
from kb.gear import lookup, paths
from kb.records.tables.entries import Entry
from kb.records.tables.faults import STANDS, Fault
from kb.records.tables.gear import Item, Model

# Own choices, no source: enough to lift an entry of the item's class over one whose words fit
# about as well, too little to lift one whose words don't fit; less for what it's joined to.
CLASS_FACTOR = 1.3
NEIGHBOUR_FACTOR = 1.15
MODEL_FACTOR = 1.15  # had by units of the model before
_REACH = 2  # links up and down the signal path


def boosts(session: Session, typed: str) -> dict[str, float]:
    """Return entry slug -> factor on its score, for a search with an item at hand.

    Args:
        session: The unit of work.
        typed: The item's code or name.

    Raises:
        NotFoundError: The item is unknown.
    """
    item = lookup.item(session, typed)
    factors = dict.fromkeys(_neighbouring_classes(session, item), NEIGHBOUR_FACTOR)
    model = lookup.by_key(session, Model, item.model_id) if item.model_id else None
    if model is not None and model.equipment_class is not None:
        factors[model.equipment_class] = CLASS_FACTOR
    found = _by_class(session, factors)
    for slug in _had_before(session, model) if model is not None else ():
        found[slug] = found.get(slug, 1.0) * MODEL_FACTOR
    return found


def _by_class(session: Session, factors: Mapping[str, float]) -> dict[str, float]:
    """Return the entries that speak of one of some classes, each with the highest factor."""
    found: dict[str, float] = {}
    # Most entries don't even hold the words; parsing takes longer than all else here.
    for text in library.texts(session).values() if factors else ():
        if any(wanted in text for wanted in factors):
            entry = parse.entry_from(text)
            mine = [factors[name] for name in entry.classes if name in factors]
            if mine:
                found[entry.slug] = max(mine)
    return found


def _neighbouring_classes(session: Session, item: Item) -> set[str]:
    """Return the classes of what an item is joined to on its signal path."""
    lines = (*paths.path_up(session, item.code), *paths.path_down(session, item.code))
    links = [line.link for line in lines if line.depth <= _REACH]
    codes = {code for link in links for code in (link.from_code, link.to_code)} - {item.code}
    found = session.scalars(
        select(Model.equipment_class)
        .join(Item, col(Item.model_id) == Model.id)
        .where(col(Item.code).in_(codes), col(Model.equipment_class).is_not(None))
    )
    return {name for name in found if name is not None}


def _had_before(session: Session, model: Model) -> set[str]:
    """Return the entries that fitted faults of a model's units."""
    return set(
        session.scalars(
            select(Entry.slug)
            .join(Fault, col(Fault.entry_id) == Entry.id)
            .join(Item, col(Fault.seen_item_id) == Item.id)
            .where(Item.model_id == model.key, STANDS)
        )
    )
