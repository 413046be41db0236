"""Two records that turn out to be one item: what must hold, and what each knows of it."""

from sqlmodel import Session, col, or_, select

from kb.errors import ConflictError
from kb.records.kinds import ItemState
from kb.records.tables.gear import Item
from kb.records.tables.use import Link, Loan

_FILLED = ("model_id", "serial", "batch", "bought", "price_minor", "supplier", "warranty_until")


def require_one_thing(session: Session, gone: Item, kept: Item) -> None:
    """Refuse two records that can't be one thing, as they stand.

    Raises:
        ConflictError: Both are one already, the kept one is out of use and the other is not,
            both are on loan, one joins the other, or both use the same port or two links.
    """
    if kept.key == gone.key:
        raise ConflictError(f"{kept.name} is one item already, under both names.")
    if kept.state == ItemState.RETIRED != gone.state:
        raise ConflictError(
            f"{kept.name} is retired and {gone.name} is not. Merge the other way round."
        )
    _require_one_loan(session, gone, kept)
    _require_apart(session, gone, kept)


def fill_up(kept: Item, gone: Item) -> None:
    """Take over what only the other record knows; the earlier day in service counts."""
    for name in _FILLED:
        if getattr(kept, name) is None:
            setattr(kept, name, getattr(gone, name))
    begun = [day for day in (kept.in_service, gone.in_service) if day is not None]
    kept.in_service = min(begun, default=None)
    kept.note = "\n".join(filter(None, dict.fromkeys((kept.note, gone.note)))) or None


def _require_one_loan(session: Session, gone: Item, kept: Item) -> None:
    away = session.scalars(
        select(Loan.id).where(
            col(Loan.item_id).in_([gone.key, kept.key]), col(Loan.back_at).is_(None)
        ),
    ).all()
    if len(away) > 1:
        raise ConflictError(
            f"{gone.name} and {kept.name} are both on loan. Take one of them back first."
        )


def _require_apart(session: Session, gone: Item, kept: Item) -> None:
    """Refuse what would leave a cable in two links, a port with two, or a cable on itself."""
    keys = [gone.key, kept.key]
    links = session.scalars(
        select(Link).where(
            or_(
                col(Link.cable_id).in_(keys),
                col(Link.from_item_id).in_(keys),
                col(Link.to_item_id).in_(keys),
            ),
        ),
    ).all()
    if any(
        link.cable_id in keys and {link.from_item_id, link.to_item_id} & {*keys} for link in links
    ):
        raise ConflictError(f"{gone.name} and {kept.name} were joined: they are two things.")
    ends = [end for link in links if link.until is None for end in _ends(link, keys)]
    doubled = next((end for end in ends if ends.count(end) > 1), None)
    if doubled:
        raise ConflictError(
            f"{gone.name} and {kept.name} both have {doubled}. End one of the two links first."
        )


def _ends(link: Link, keys: list[int]) -> list[str]:
    """Return what part these items have in a link, as one names it."""
    parts = (
        (link.cable_id, "a link that they are the cable of"),
        (link.from_item_id, f"a link from the port {link.from_port}"),
        (link.to_item_id, f"a link to the port {link.to_port}"),
    )
    return [told for key, told in parts if key in keys]
