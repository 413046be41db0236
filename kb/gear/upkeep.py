"""Services: what was done to which items, what was found, and what is due again."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from kb.checking import check
from kb.errors import InvalidError, NotFoundError, Problem
from kb.gear import lookup
from kb.gear.service_drafts import ServiceDraft, ServiceItemDraft, ServiceSlipDraft
from kb.records import journal, sorting
from kb.records.kinds import ItemState
from kb.records.tables.base import is_key
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item
from kb.records.tables.use import Service, ServiceItem

_PLAIN = ("kind", "work", "tester", "next_due")


@dataclass(frozen=True)
class ServiceLine:
    """A service as it touched one item.

    Attributes:
        number: The service's number.
        version: The version that is shown.
        kind: What it was.
        at: When.
        work: What was done.
        tester: By whom.
        cost_minor: What it cost, in minor units.
        next_due: The day on which it's due again.
        fault: The number of the fault it answered.
        code: The item's code.
        name: The item's name.
        result: What was found on the item.
        note: What else was said of the item.
    """

    number: int
    version: int
    kind: str
    at: datetime
    work: str
    tester: str | None
    cost_minor: int | None
    next_due: date | None
    fault: int | None
    code: str
    name: str
    result: str | None
    note: str | None


def add_service(session: Session, values: Mapping[str, Any], at: datetime) -> int:
    """Record a service, and return its number.

    Args:
        session: The unit of work.
        values: The fields of `ServiceDraft`, as typed.
        at: When it was done.

    Raises:
        InvalidError: A field is wrong, or an item is named twice.
        NotFoundError: An item or the fault is unknown.
    """
    draft = check(ServiceDraft, values)
    service = Service(kind=draft.kind, work=draft.work, at=at)
    _fill(session, service, draft)
    session.add(service)
    session.flush()
    _set_items(session, service, draft.items, at)
    return service.key


def change_service(
    session: Session,
    number: int,
    values: Mapping[str, Any],
    at: datetime,
    seen: int | None = None,
) -> None:
    """Change fields of a service; those not given stay, an empty text empties a field.

    Args:
        session: The unit of work.
        number: The service's number.
        values: The fields of `ServiceSlipDraft` to change; `items` names all of them.
        at: When it's changed, for items that are taken out.
        seen: The version that was looked at.

    Raises:
        ConflictError: Changed since it was seen.
        InvalidError: A field is wrong, or an item is named twice.
        NotFoundError: There is no such service, item or fault.
    """
    service = journal.for_change(session, Service, number, seen)
    draft = check(ServiceSlipDraft, {**_as_typed(session, service), **values})
    _fill(session, service, draft)
    service.at = draft.at
    session.flush()
    if "items" in values:
        before = _told(session, service)
        _set_items(session, service, draft.items, at)
        journal.add_step(session, service, "items", before, _told(session, service))


def services_of(session: Session, typed: str, limit: int | None = None) -> tuple[ServiceLine, ...]:
    """Return the services of an item, the newest first.

    Raises:
        NotFoundError: The item is unknown.
    """
    key = lookup.item(session, typed).key
    return _lines(session, limit, col(ServiceItem.item_id) == key)


def service_by(session: Session, number: int) -> tuple[ServiceLine, ...]:
    """Return a service, a line for each item of it.

    Raises:
        NotFoundError: There is no such service.
    """
    found = _lines(session, None, col(Service.id) == number) if is_key(number) else ()
    if not found:
        raise NotFoundError("service", str(number), "See 'kitlore service list'.")
    return found


def due(session: Session, day: date) -> tuple[ServiceLine, ...]:
    """Return what is due again by a day, the longest due first.

    The newest service of each kind on an item tells when that kind is due there. Items that are
    retired are left out.
    """
    newest = (
        func.row_number()
        .over(
            partition_by=(col(ServiceItem.item_id), col(Service.kind)),
            order_by=(col(Service.at).desc(), col(Service.id).desc()),
        )
        .label("age")
    )
    ranked = (
        select(col(ServiceItem.id).label("line"), newest)
        .join(Service, col(ServiceItem.service_id) == Service.id)
        .where(col(ServiceItem.removed_at).is_(None))
        .subquery()
    )
    lines = _lines(
        session,
        None,
        col(ServiceItem.id).in_(select(ranked.c.line).where(ranked.c.age == 1)),
        col(Service.next_due) <= day,
        col(Item.state) != ItemState.RETIRED,
    )

    def order(line: ServiceLine) -> tuple[date, str]:
        return line.next_due or day, sorting.by_number(line.name)

    return tuple(sorted(lines, key=order))


def _fill(session: Session, service: Service, draft: ServiceDraft) -> None:
    for name in _PLAIN:
        setattr(service, name, getattr(draft, name))
    service.cost_minor = draft.cost
    service.fault_id = _fault_key(session, draft.fault) if draft.fault is not None else None


def _fault_key(session: Session, number: int) -> int:
    """Return the key of the fault of that number, or of the one it was merged into."""
    fault = session.get(Fault, number)
    while fault is not None and fault.merged_into_id is not None:
        fault = session.get(Fault, fault.merged_into_id)
    if fault is None:
        raise NotFoundError("fault", str(number), "See 'kitlore fault list'.")
    return fault.key


def _as_typed(session: Session, service: Service) -> dict[str, Any]:
    """Return the service's fields in the form of its draft."""
    return {
        **{name: getattr(service, name) for name in (*_PLAIN, "at")},
        "cost": service.cost_minor,
        "fault": service.fault_id,
        "items": [
            {"item": line.code, "result": line.result, "note": line.note}
            for line in service_by(session, service.key)
        ],
    }


def _set_items(
    session: Session, service: Service, drafts: tuple[ServiceItemDraft, ...], at: datetime
) -> None:
    """Make the items of a service those named; one no longer named is kept as removed."""
    wanted = _by_key(session, drafts)
    lines = session.scalars(select(ServiceItem).where(ServiceItem.service_id == service.key))
    kept = {line.item_id: line for line in lines}
    for key, line in kept.items():
        if key not in wanted and line.removed_at is None:
            line.removed_at = at
    for key, draft in wanted.items():
        line = kept.get(key) or ServiceItem(service_id=service.key, item_id=key)
        line.result, line.note, line.removed_at = draft.result, draft.note, None
        session.add(line)
    session.flush()


def _told(session: Session, service: Service) -> str:
    """Return the items of a service and what was found on them, in one line."""
    lines = service_by(session, service.key)
    return ", ".join(
        line.name
        + (f"={line.result}" if line.result else "")
        + (f" ({line.note})" if line.note else "")
        for line in lines
    )


def _by_key(session: Session, drafts: tuple[ServiceItemDraft, ...]) -> dict[int, ServiceItemDraft]:
    """Return the drafts by the keys of their items.

    Raises:
        InvalidError: Two name the same item.
    """
    found: dict[int, ServiceItemDraft] = {}
    for draft in drafts:
        item = lookup.item(session, draft.item)
        if item.key in found:
            raise InvalidError([Problem("items", f"{item.name} is named twice. Name it once.")])
        found[item.key] = draft
    return found


def _lines(
    session: Session, limit: int | None, *conditions: ColumnElement[bool]
) -> tuple[ServiceLine, ...]:
    found = session.execute(
        select(Service, ServiceItem, Item)
        .join(ServiceItem, col(ServiceItem.service_id) == Service.id)
        .join(Item, col(ServiceItem.item_id) == Item.id)
        .where(col(ServiceItem.removed_at).is_(None), *conditions)
        .order_by(col(Service.at).desc(), col(Service.id).desc(), Item.name_order)
        .limit(limit),
    )
    return tuple(
        ServiceLine(
            number=service.key,
            version=service.version,
            kind=service.kind,
            at=service.at,
            work=service.work,
            tester=service.tester,
            cost_minor=service.cost_minor,
            next_due=service.next_due,
            fault=service.fault_id,
            code=item.code,
            name=item.name,
            result=line.result,
            note=line.note,
        )
        for service, line, item in found
    )
