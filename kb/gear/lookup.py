"""Find an item, a model or a place by what a person typed."""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from sqlalchemy import Select
from sqlalchemy import select as sql_select
from sqlmodel import Session, col, select

from kb.checking import clean_text
from kb.errors import ConflictError, InvalidError, NotFoundError, Problem
from kb.gear import codes
from kb.records.kinds import ItemState
from kb.records.tables.gear import Code, Item, Model, Place, folded

RowT = TypeVar("RowT", Item, Model, Place)


def item(session: Session, typed: str) -> Item:
    """Return the item with that name or code; a merged or replaced code leads to its heir.

    Raises:
        InvalidError: It has the form of a code, but its check character is wrong.
        NotFoundError: No item has it.
    """
    known = known_item(session, typed)
    if known is not None:
        return known
    code = _code(session, typed)
    if code is not None and code.place_id is not None:
        place_name = by_key(session, Place, code.place_id).name
        raise NotFoundError("item", typed, f"That code is the place {place_name}.")
    if codes.looks_like_code(typed):
        codes.read(typed)  # says which character is wrong
    names = session.scalars(select(Item.name).where(Item.state != ItemState.RETIRED))
    raise NotFoundError("item", typed, _nearest(typed, _shown(names)) + "See 'kitlore item list'.")


def known_item(session: Session, typed: str) -> Item | None:
    """Return the item with that name or code; None where there is none."""
    code = _code(session, typed)
    if code is not None and code.item_id is not None:
        return by_key(session, Item, code.item_id)
    return _item_named(session, typed)


def items(session: Session, typed: Iterable[str]) -> list[Item]:
    """Return the items of several names or codes, in that order.

    Raises:
        NotFoundError: One of them is unknown.
    """
    return [item(session, one) for one in typed]


def model(session: Session, typed: str) -> Model:
    """Return the model of that name, the maker before it where the name alone isn't enough.

    Raises:
        ConflictError: Several makers have a model of that name.
        NotFoundError: There is none.
    """
    wanted = _line(typed).casefold()
    known = session.scalars(select(Model).where(col(Model.merged_into_id).is_(None))).all()
    found = [m for m in known if f"{m.maker} {m.name}".casefold() == wanted]
    found = found or [m for m in known if m.name.casefold() == wanted]
    if len(found) > 1:
        told = ", ".join(sorted(f"'{m.maker} {m.name}'" for m in found))
        raise ConflictError(f"'{typed}' may be {told}. Give the maker too.")
    if not found:
        whole = _shown(f"{m.maker} {m.name}" for m in known)
        alone = {m.name.casefold(): f"{m.maker} {m.name}" for m in known}
        raise NotFoundError(
            "model", typed, _nearest(typed, alone | whole) + "See 'kitlore model list'."
        )
    return found[0]


def require_class(session: Session, item: Item, wanted: str, field: str) -> None:
    """Refuse an item of another class than the one wanted.

    Args:
        session: The unit of work.
        item: The item.
        wanted: The class: 'drive'.
        field: The field that it was typed in.

    Raises:
        InvalidError: Its model is of another class, or it has none.
    """
    model = session.get(Model, item.model_id) if item.model_id is not None else None
    kind = model.equipment_class if model else None
    if kind != wanted:
        what = f"is of the class {kind}" if kind else "has no model of a class"
        told = f"{item.name} {what}, so it's no {wanted}. Give its model first."
        raise InvalidError([Problem(field, told)])


def place(session: Session, typed: str) -> Place:
    """Return the place of that name, code, or path ('RR/R1').

    Raises:
        ConflictError: Several places have that name; their paths are told.
        InvalidError: It has the form of a code, but its check character is wrong.
        NotFoundError: There is none.
    """
    tree = Tree(session)
    found = tree.named(typed)
    if len(found) > 1:
        told = ", ".join(sorted(f"'{tree.path(one.key)}'" for one in found))
        raise ConflictError(f"'{typed}' may be {told}. Give the path.")
    if found:
        return session.get_one(Place, found[0].key)
    code = _code(session, typed)
    if code is not None and code.place_id is not None:
        coded = by_key(session, Place, code.place_id)
        if coded.retired_at is None:
            return coded
        raise NotFoundError("place in use with the code", typed, f"{coded.name} is out of use.")
    if codes.looks_like_code(typed):
        codes.read(typed)
    mend = _nearest(typed, _shown(one.name for one in tree.places)) + "See 'kitlore place list'."
    raise NotFoundError("place", typed, mend)


@dataclass(frozen=True)
class Node:
    """A place in the tree."""

    key: int
    name: str
    parent_id: int | None


def place_of_code(session: Session, typed: str) -> str | None:
    """Return the code of the place that a code leads to; None where it leads to none."""
    code = _code(session, typed)
    return code.code if code is not None and code.place_id is not None else None


class Tree:
    """Places in use, read once; those out of use too where history is asked.

    Args:
        session: The unit of work.
        retired: Whether those out of use are read too.
        of: Only these places and what they lie in; all of them where it's left out.
    """

    def __init__(
        self, session: Session, *, retired: bool = False, of: Iterable[int | None] | None = None
    ) -> None:
        wanted = select(col(Place.id), Place.name, Place.parent_id).where(
            col(Place.merged_into_id).is_(None)
        )
        if not retired:
            wanted = wanted.where(col(Place.retired_at).is_(None))
        if of is not None:
            wanted = wanted.where(col(Place.id).in_(_upwards({key for key in of if key})))
        self.places = tuple(Node(*row) for row in session.execute(wanted))
        self._by_key = {one.key: one for one in self.places}
        self._paths: dict[int, str] = {}

    def path(self, key: int | None) -> str:
        """Return the path of a place from the top, like 'RR/R1'; empty for no place."""
        if key is None or key not in self._by_key:
            return ""
        if key not in self._paths:
            node = self._by_key[key]
            above = self.path(node.parent_id)
            self._paths[key] = f"{above}/{node.name}" if above else node.name
        return self._paths[key]

    def above(self, key: int) -> list[int]:
        """Return the keys of a place and of all that it lies in, inmost first."""
        keys: list[int] = []
        step: int | None = key
        while step is not None and step not in keys:
            keys.append(step)
            step = self._by_key[step].parent_id if step in self._by_key else None
        return keys

    def within(self, key: int) -> set[int]:
        """Return the keys of a place and of all that lies in it."""
        return {one.key for one in self.places if key in self.above(one.key)}

    def named(self, typed: str) -> list[Node]:
        """Return the places whose path ends as typed, whatever the case."""
        wanted = _parts(_line(typed))
        if not wanted:
            return []
        paths = {one.key: _parts(self.path(one.key)) for one in self.places}
        whole = [one for one in self.places if paths[one.key] == wanted]
        return whole or [one for one in self.places if paths[one.key][-len(wanted) :] == wanted]


def by_key(session: Session, table: type[RowT], key: int) -> RowT:
    """Return the row of that key, or the one it was merged into."""
    found = session.get_one(table, key)
    while found.merged_into_id is not None:
        found = session.get_one(table, found.merged_into_id)
    return found


def _upwards(keys: Iterable[int]) -> Select[tuple[int]]:
    """Ask for the keys of places and of all that they lie in."""
    found = (
        sql_select(col(Place.id).label("key"), col(Place.parent_id).label("above"))
        .where(col(Place.id).in_(keys))
        .cte("upwards", recursive=True)
    )
    above = sql_select(col(Place.id), col(Place.parent_id)).join(
        found, found.c.above == col(Place.id)
    )
    return sql_select(found.union(above).c.key)


def _item_named(session: Session, typed: str) -> Item | None:
    """Return the item of that name: the one in use, else the last one retired."""
    found = session.scalars(
        select(Item)
        .where(Item.name_folded == folded(_line(typed)), col(Item.merged_into_id).is_(None))
        .order_by(col(Item.state) == ItemState.RETIRED, col(Item.id).desc()),
    )
    return found.first()


def _parts(path: str) -> list[str]:
    """Return the names on a path, folded; a name may hold the slash itself."""
    return [part.strip() for part in path.casefold().split("/") if part.strip()]


def _line(typed: str) -> str:
    """Return what was typed in the form in which names are kept; empty where it's none."""
    try:
        return " ".join(clean_text(typed).split())
    except ValueError:
        return ""


def _code(session: Session, typed: str) -> Code | None:
    """Return the row of a code that was drawn, or None where this is no such code."""
    try:
        return session.get(Code, codes.read(typed)) if codes.looks_like_code(typed) else None
    except InvalidError:
        return None


def _shown(names: Iterable[str]) -> dict[str, str]:
    return {name.casefold(): name for name in names}


def _nearest(typed: str, known: Mapping[str, str]) -> str:
    """Return the names near to what was typed, each once, as they're written.

    Args:
        typed: What was typed.
        known: Each way to say one, folded, and its name.
    """
    near = difflib.get_close_matches(typed.casefold(), known, 3)
    names = dict.fromkeys(known[one] for one in near)
    return f"Near to it: {', '.join(names)}. " if near else ""
