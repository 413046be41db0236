"""What was done to which items is kept, and what is due again is told in time."""

from datetime import date, datetime, timedelta

import pytest
from builders import a_cable, an_item
from sqlmodel import Session, select

from kb.errors import ConflictError, InvalidError, NotFoundError
from kb.gear import items, lookup, upkeep
from kb.records.tables.faults import Fault
from kb.records.tables.use import ServiceItem

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def _gear(session: Session) -> None:
    an_item(session)
    for name in ("HD-01", "HD-02"):
        a_cable(session, name)


def a_service(session: Session, at: datetime, **over: object) -> int:
    values = {"kind": "inspection", "work": "visual check", "items": "HD-01=pass", **over}
    return upkeep.add_service(session, values, at)


def a_fault(session: Session, at: datetime) -> Fault:
    key = lookup.item(session, "HD-01").key
    fault = Fault(text="sparkles", noticed_at=at, reporter="M.O.", seen_item_id=key)
    session.add(fault)
    session.flush()
    return fault


def named(session: Session, number: int) -> list[tuple[str, str | None]]:
    return [(line.name, line.result) for line in upkeep.service_by(session, number)]


def test_a_service_keeps_what_was_typed_of_it(session: Session, at: datetime) -> None:
    number = a_service(
        session,
        at,
        kind="repair",
        work="re-terminated\nand tested",
        tester="M.O.",
        cost="12.50",
        next_due="2026-06-19",
        fault=str(a_fault(session, at).key),
        items=[{"item": "HD-01", "result": "pass", "note": "end B"}, {"item": "CC-01"}],
    )
    computer, cable = upkeep.service_by(session, number)
    assert (computer.name, computer.result) == ("CC-01", None)
    assert (cable.name, cable.result, cable.note) == ("HD-01", "pass", "end B")
    assert (cable.kind, cable.work, cable.at) == ("repair", "re-terminated\nand tested", at)
    assert (cable.tester, cable.cost_minor, cable.fault) == ("M.O.", 1_250, 1)
    assert cable.next_due == date(2026, 6, 19)


@pytest.mark.parametrize(
    ("over", "sentence"),
    [
        ({"kind": "party"}, "kind: 'party' is none of 'inspection', 'repair'"),
        ({"work": ""}, "work: it is empty"),
        ({"items": ""}, "items: none is named"),
        ({"items": "HD-01, hd-01"}, "items: HD-01 is named twice. Name it once."),
        ({"cost": "much"}, "cost: 'much' is no amount"),
        ({"next_due": "soon"}, "next due: 'soon' is no day"),
        ({"fault": "x"}, "fault: 'x' does not fit"),
        ({"fault": str(10**30)}, "fault: "),
    ],
)
def test_what_does_not_fit_is_told(
    session: Session, at: datetime, over: dict[str, object], sentence: str
) -> None:
    with pytest.raises(InvalidError) as caught:
        a_service(session, at, **over)
    assert sentence in caught.value.message


def test_what_is_unknown_is_told(session: Session, at: datetime) -> None:
    with pytest.raises(NotFoundError, match="No item 'HD-99'"):
        a_service(session, at, items="HD-99")
    with pytest.raises(NotFoundError, match="No fault '77'"):
        a_service(session, at, fault="77")
    for missing in (77, 10**30):
        with pytest.raises(NotFoundError, match=f"No service '{missing}'"):
            upkeep.service_by(session, missing)
        with pytest.raises(NotFoundError, match=f"No service '{missing}'"):
            upkeep.change_service(session, missing, {"work": "x"}, at)


def test_a_service_answers_the_fault_that_another_was_merged_into(
    session: Session, at: datetime
) -> None:
    gone, kept = a_fault(session, at), a_fault(session, at)
    gone.merged_into_id = kept.key
    number = a_service(session, at, fault=str(gone.key))
    assert upkeep.service_by(session, number)[0].fault == kept.key


def test_fields_not_given_stay(session: Session, at: datetime) -> None:
    given = {"tester": "M.O.", "cost": "12.50", "next_due": "2026-06-19"}
    number = a_service(session, at, fault=str(a_fault(session, at).key), **given)
    (before,) = upkeep.service_by(session, number)
    upkeep.change_service(session, number, {"work": "looked at"}, at + DAY)
    (line,) = upkeep.service_by(session, number)
    assert (line.work, line.version) == ("looked at", 2)
    assert (line.at, line.tester, line.cost_minor, line.next_due, line.fault) == (
        before.at,
        before.tester,
        before.cost_minor,
        before.next_due,
        before.fault,
    )
    upkeep.change_service(session, number, {"fault": "", "cost": "", "at": at - DAY}, at)
    (line,) = upkeep.service_by(session, number)
    assert (line.fault, line.cost_minor, line.at) == (None, None, at - DAY)


def test_the_items_of_a_service_are_mended(session: Session, at: datetime) -> None:
    number = a_service(session, at, items="HD-01=pass, HD-02=pass")
    upkeep.change_service(session, number, {"items": "HD-01=fail, CC-01"}, at)
    assert named(session, number) == [("CC-01", None), ("HD-01", "fail")]
    assert upkeep.services_of(session, "HD-02") == ()
    kept = session.scalars(select(ServiceItem)).all()
    assert len(kept) == 3, "what was said by a slip stays on record"
    upkeep.change_service(session, number, {"items": "HD-02=pass"}, at)
    assert named(session, number) == [("HD-02", "pass")]
    assert len(session.scalars(select(ServiceItem)).all()) == 3


def test_the_second_of_two_writers_is_told_of_the_first(session: Session, at: datetime) -> None:
    number = a_service(session, at)
    upkeep.change_service(session, number, {"items": "HD-01=fail, HD-02"}, at, seen=1)
    with pytest.raises(ConflictError, match="items 'HD-01=pass' -> 'HD-01=fail, HD-02'"):
        upkeep.change_service(session, number, {"work": "x"}, at, seen=1)


def test_the_services_of_an_item_are_listed_newest_first(session: Session, at: datetime) -> None:
    old = a_service(session, at - DAY)
    new = a_service(session, at, items="HD-01, HD-02")
    assert [line.number for line in upkeep.services_of(session, "HD-01")] == [new, old]
    assert [line.number for line in upkeep.services_of(session, "HD-01", 1)] == [new]
    assert [line.number for line in upkeep.services_of(session, "HD-02")] == [new]


def due(session: Session, day: date) -> list[tuple[str, str]]:
    return [(line.name, line.kind) for line in upkeep.due(session, day)]


def test_the_newest_service_of_a_kind_tells_when_it_is_due(session: Session, at: datetime) -> None:
    a_service(session, at - 2 * DAY, next_due="2026-03-20", items="HD-01, HD-02")
    assert due(session, date(2026, 3, 19)) == []
    both = [("HD-01", "inspection"), ("HD-02", "inspection")]
    assert due(session, date(2026, 3, 20)) == both
    # Another kind doesn't answer it; a newer one of the same kind does, on its items.
    a_service(session, at - DAY, kind="cleaning")
    assert due(session, date(2026, 3, 20)) == both
    a_service(session, at, next_due="2026-06-20", items="HD-02")
    assert due(session, date(2026, 3, 20)) == [("HD-01", "inspection")]
    assert due(session, date(2026, 6, 20)) == both


def test_what_was_done_last_without_a_day_is_not_due(session: Session, at: datetime) -> None:
    a_service(session, at - DAY, next_due="2026-03-20")
    a_service(session, at)
    assert due(session, date(2030, 1, 1)) == []


def test_what_is_retired_or_named_by_a_slip_is_not_due(session: Session, at: datetime) -> None:
    number = a_service(session, at, next_due="2026-03-20", items="HD-01, HD-02, CC-01")
    items.set_state(session, "HD-02", "retired", at, "worn")
    upkeep.change_service(session, number, {"items": "HD-01, HD-02"}, at)
    assert due(session, date(2026, 3, 20)) == [("HD-01", "inspection")]


def test_the_longest_due_goes_first(session: Session, at: datetime) -> None:
    a_service(session, at, next_due="2026-03-25", items="CC-01")
    a_service(session, at, next_due="2026-03-20", items="HD-02, HD-01")
    listed = [name for name, _kind in due(session, date(2026, 4, 1))]
    assert listed == ["HD-01", "HD-02", "CC-01"]
