"""What a listing shows of items, models and places."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Select, func, select
from sqlmodel import Session, and_, col, or_

from kb.checking import check
from kb.gear import loans, lookup
from kb.gear.drafts import ItemFilter
from kb.records import sorting
from kb.records.kinds import ItemState
from kb.records.tables.gear import Code, Item, Model, Place, folded
from kb.records.tables.use import Loan

_SEARCHED = (Item.code, Item.serial, Item.batch, Item.note, Model.maker, Model.name)


@dataclass(frozen=True)
class ItemLine:
    """An item in a list.

    Attributes:
        code: On its label.
        name: What the crew calls it.
        model: Its model, the maker's name before it; None where none is said.
        equipment_class: The model's class.
        state: Whether it may be used.
        place: The path of where it lies; empty where that's not known.
        batch: What it was bought with.
        on_loan_to: The borrower; None while it's not away.
    """

    code: str
    name: str
    model: str | None
    equipment_class: str | None
    state: str
    place: str
    batch: str | None
    on_loan_to: str | None


@dataclass(frozen=True)
class ModelLine:
    """A model in a list.

    Attributes:
        maker: Who makes it.
        name: What the maker calls it.
        version: The version that is shown.
        equipment_class: Its class; None where none is said.
        technical: Technical data by name.
        items: How many there are, the retired ones left out.
    """

    maker: str
    name: str
    version: int
    equipment_class: str | None
    technical: Mapping[str, Any]
    items: int


@dataclass(frozen=True)
class PlaceLine:
    """A place in a list.

    Attributes:
        path: From the top, like 'RR/R1'.
        name: What the crew calls it.
        version: The version that is shown.
        kind: What it is.
        code: On its label.
        items: How many lie right there, the retired ones left out.
        within: The path of the place that it lies in; empty at the top.
        minute_cost: Its own, of a lost minute in minor units; None where it has none.
        picture: Its own format; empty where it has none.
        sound: The same of sound.
    """

    path: str
    name: str
    version: int
    kind: str
    code: str
    items: int
    within: str
    minute_cost: int | None = None
    picture: str = ""
    sound: str = ""


def item_lines(
    session: Session, values: Mapping[str, Any], limit: int | None = None, offset: int = 0
) -> tuple[ItemLine, ...]:
    """Return the items wanted, by name.

    Args:
        session: The unit of work.
        values: The fields of `ItemFilter`, as typed.
        limit: How many at most.
        offset: How many to skip.

    Raises:
        ConflictError: The model or the place may be several.
        InvalidError: A field is wrong.
        NotFoundError: The model or the place is unknown.
    """
    wanted = _lines(_conditions(session, check(ItemFilter, values)))
    return _shown(session, wanted.limit(limit).offset(offset))


def item_count(session: Session, values: Mapping[str, Any]) -> int:
    """Return how many items are wanted.

    Args:
        session: The unit of work.
        values: The fields of `ItemFilter`, as typed.

    Raises:
        ConflictError: The model or the place may be several.
        InvalidError: A field is wrong.
        NotFoundError: The model or the place is unknown.
    """
    draft = check(ItemFilter, values)
    conditions = _conditions(session, draft)
    counted = select(func.count()).select_from(Item).outerjoin(Model, _OF_MODEL)
    return int(session.scalars(counted.where(*conditions)).one())


def lines_of(session: Session, codes: Sequence[str]) -> tuple[ItemLine, ...]:
    """Return the items that bear some codes, in their order."""
    found = _shown(session, _lines([col(Item.code).in_(codes)]))
    return tuple(sorted(found, key=lambda line: codes.index(line.code)))


def model_lines(session: Session) -> tuple[ModelLine, ...]:
    """Return the models in use, by maker and name."""
    found = session.execute(
        select(Model, func.count(col(Item.id)))
        .outerjoin(Item, and_(_OF_MODEL, _IN_USE))
        .where(col(Model.merged_into_id).is_(None))
        .group_by(col(Model.id)),
    )
    lines = [
        ModelLine(
            maker=model.maker,
            name=model.name,
            version=model.version,
            equipment_class=model.equipment_class,
            technical=model.technical,
            items=items,
        )
        for model, items in found
    ]
    return tuple(sorted(lines, key=lambda line: sorting.by_path(f"{line.maker}/{line.name}")))


def place_lines(session: Session) -> tuple[PlaceLine, ...]:
    """Return the places in use, what lies in one after it."""
    tree = lookup.Tree(session)
    # A merged place has several codes; the one drawn first comes last and stays, until it gets
    # another label.
    drawn = (
        select(col(Code.place_id), col(Code.code))
        .where(col(Code.place_id).is_not(None))
        .order_by(col(Code.drawn_at).desc())
    )
    codes = {row[0]: row[1] for row in session.execute(drawn)}
    found = session.execute(
        select(Place, func.count(col(Item.id)))
        .outerjoin(Item, and_(col(Item.place_id) == Place.id, _IN_USE))
        .where(col(Place.merged_into_id).is_(None), col(Place.retired_at).is_(None))
        .group_by(col(Place.id)),
    )
    lines = [
        PlaceLine(
            path=tree.path(place.key),
            name=place.name,
            version=place.version,
            kind=place.kind,
            code=place.new_code or codes.get(place.key, ""),
            items=items,
            within=tree.path(place.parent_id),
            minute_cost=place.minute_cost,
            picture=place.picture or "",
            sound=place.sound or "",
        )
        for place, items in found
    ]
    return tuple(sorted(lines, key=lambda line: sorting.by_path(line.path)))


_OF_MODEL = col(Item.model_id) == Model.id
_IN_USE = col(Item.state) != ItemState.RETIRED


def _conditions(session: Session, draft: ItemFilter) -> list[ColumnElement[bool]]:
    """Return what must hold of an item, and of its model, to be listed."""
    state = _IN_USE if draft.state is None else col(Item.state) == draft.state
    found = [state, col(Item.merged_into_id).is_(None)]
    if draft.equipment_class is not None:
        found.append(col(Model.equipment_class) == draft.equipment_class)
    if draft.model is not None:
        found.append(col(Item.model_id) == lookup.model(session, draft.model).key)
    if draft.place is not None:
        within = lookup.Tree(session).within(lookup.place(session, draft.place).key)
        found.append(col(Item.place_id).in_(within))
    for word in (draft.text or "").split():
        name = col(Item.name_folded).contains(folded(word), autoescape=True)
        others = [col(column).icontains(word, autoescape=True) for column in _SEARCHED]
        found.append(or_(name, *others))
    return found


def _lines(conditions: Iterable[ColumnElement[bool]]) -> Select[*tuple[Any, ...]]:
    """Ask for the columns of a list; whole records would take five times as long to read."""
    columns: list[Any] = [
        *(Item.code, Item.name, Item.state, Item.place_id, Item.batch),
        *(col(Model.maker) + " " + col(Model.name), Model.equipment_class, Loan.borrower),
    ]
    return (
        select(*columns)
        .select_from(Item)
        .outerjoin(Model, _OF_MODEL)
        .outerjoin(Loan, and_(col(Loan.item_id) == Item.id, loans.away(None)))
        .where(*conditions)
        .order_by(col(Item.name_order), col(Item.id))
    )


def _shown(session: Session, wanted: Select[*tuple[Any, ...]]) -> tuple[ItemLine, ...]:
    rows = session.execute(wanted).all()
    tree = lookup.Tree(session, of={row.place_id for row in rows})
    return tuple(
        ItemLine(
            code=code,
            name=name,
            model=model,
            equipment_class=kind,
            state=state,
            place=tree.path(place),
            batch=batch,
            on_loan_to=borrower,
        )
        for code, name, state, place, batch, model, kind, borrower in rows
    )
