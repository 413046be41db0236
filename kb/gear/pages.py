"""What the page behind a label shows: the item, what it joins, what was done, which spares."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from kb.gear import loans, lookup, paths, readiness, upkeep, views
from kb.gear.loans import LoanLine
from kb.gear.paths import LinkLine
from kb.gear.upkeep import ServiceLine
from kb.gear.views import ItemLine
from kb.records.tables.gear import Code, Item, Model, StateSpell

SERVICES = 5
SPARES = 5
_FEW_PLACES = 200


@dataclass(frozen=True)
class ItemPage:
    """An item with all that is known of it.

    Attributes:
        line: As it stands in a list.
        state_since: From when it's in its state.
        state_reason: Why.
        version: The version that is shown.
        serial: The maker's number.
        in_service: From which day it's in use.
        bought: On which day.
        price_minor: For how much, in minor units.
        supplier: From whom.
        warranty_until: The last day of the warranty.
        note: What else was said.
        technical: The model's technical data by name.
        codes: Every code that leads here, the oldest first.
        loan: To whom it's lent; None while it's not away.
        services: The newest ones.
        links: What it joins or is joined by now.
        spares: Items of its model that lie ready, the nearest first.
        spares_ready: How many of those there are.
    """

    line: ItemLine
    state_since: datetime | None
    state_reason: str | None
    version: int
    serial: str | None
    in_service: date | None
    bought: date | None
    price_minor: int | None
    supplier: str | None
    warranty_until: date | None
    note: str | None
    technical: Mapping[str, Any]
    codes: tuple[str, ...]
    loan: LoanLine | None
    services: tuple[ServiceLine, ...]
    links: tuple[LinkLine, ...]
    spares: tuple[ItemLine, ...]
    spares_ready: int


def item_page(session: Session, typed: str) -> ItemPage:
    """Return all that is known of an item.

    Args:
        session: The unit of work.
        typed: Its code or name; a merged or replaced code leads to its heir.

    Raises:
        InvalidError: It has the form of a code, but its check character is wrong.
        NotFoundError: No item has it.
    """
    item = lookup.item(session, typed)
    model = session.get(Model, item.model_id) if item.model_id is not None else None
    near = _ready_of_model(session, item)
    spell = _spell(session, item)
    codes = select(Code.code).where(Code.item_id == item.key).order_by(col(Code.drawn_at))
    return ItemPage(
        line=views.lines_of(session, [item.code])[0],
        state_since=spell.since if spell else None,
        state_reason=spell.reason if spell else None,
        version=item.version,
        serial=item.serial,
        in_service=item.in_service,
        bought=item.bought,
        price_minor=item.price_minor,
        supplier=item.supplier,
        warranty_until=item.warranty_until,
        note=item.note,
        technical=model.technical if model else {},
        codes=tuple(session.scalars(codes)),
        loan=next((loan for loan in loans.loans_of(session, item.code) if not loan.back_at), None),
        services=upkeep.services_of(session, item.code, SERVICES),
        links=paths.links_of(session, item.code),
        spares=views.lines_of(session, near[:SPARES]),
        spares_ready=len(near),
    )


def _spell(session: Session, item: Item) -> StateSpell | None:
    """Return since when and why an item is in its state."""
    return session.scalars(
        select(StateSpell)
        .where(StateSpell.item_id == item.key)
        .order_by(col(StateSpell.since).desc(), col(StateSpell.id).desc())
        .limit(1),
    ).first()


def _ready_of_model(session: Session, item: Item) -> list[str]:
    """Return the codes of the items of the same model that lie ready, the nearest first."""
    if item.model_id is None:
        return []
    found = session.execute(
        select(Item.code, Item.name_order, Item.place_id).where(
            *readiness.ready(None), Item.model_id == item.model_id, Item.id != item.key
        ),
    ).all()
    places = {place for _code, _name, place in found}
    # A few are read with what they lie in; for many it's quicker to read all there are.
    few = None if len(places) > _FEW_PLACES else {item.place_id, *places}
    tree = lookup.Tree(session, of=few)
    around = tree.above(item.place_id) if item.place_id is not None else []
    steps = {place: _steps(around, tree, place) for place in places}
    nearest = sorted(found, key=lambda row: (steps[row[2]], row[1]))
    return [code for code, _name, _place in nearest]


def _steps(around: list[int], tree: lookup.Tree, place: int | None) -> int:
    """Return how many steps it is in the tree, up and down again, to another place."""
    above = tree.above(place) if place is not None else []
    both = [up + above.index(key) for up, key in enumerate(around) if key in above]
    return both[0] if both else len(around) + len(tree.places)
