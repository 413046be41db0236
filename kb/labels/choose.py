"""Which labels: of the items named, or of every item in use; a cable has two, one for each end."""

from collections.abc import Sequence

from sqlmodel import Session, col, select

from kb.errors import InvalidError, NotFoundError, Problem
from kb.gear import lookup
from kb.labels.text import LabelText
from kb.records.kinds import CableEnd, ItemState
from kb.records.tables.gear import Item, Model

CABLE = "cable"


def of_items(session: Session, typed: Sequence[str]) -> tuple[LabelText, ...]:
    """Return the labels of the items named, in that order.

    Raises:
        InvalidError: No item is named.
        NotFoundError: One of them is unknown.
    """
    if not typed:
        raise InvalidError([Problem("code", "name the items, or say --all.")])
    return _labels(session, lookup.items(session, typed))


def of_all(session: Session) -> tuple[LabelText, ...]:
    """Return the labels of every item not retired, by name.

    Raises:
        NotFoundError: There is no item yet.
    """
    items = session.scalars(
        select(Item).where(Item.state != ItemState.RETIRED).order_by(col(Item.name)),
    ).all()
    if not items:
        raise NotFoundError("item in", "this workspace", "Add one with 'kitlore item add'.")
    return _labels(session, items)


def _labels(session: Session, items: Sequence[Item]) -> tuple[LabelText, ...]:
    cables = set(session.scalars(select(Model.id).where(Model.equipment_class == CABLE)))
    return tuple(
        LabelText(code=item.code, name=item.name, end=end)
        for item in items
        for end in ((CableEnd.A.value, CableEnd.B.value) if item.model_id in cables else (None,))
    )
