"""Two records of one thing become one, and nothing that hung on either is lost."""

from datetime import date, datetime, timedelta

import pytest
from builders import BEGAN, a_cable, a_place, an_item
from sqlmodel import Session, select

from kb.errors import ConflictError
from kb.gear import items, links, loans, lookup, paths, upkeep
from kb.records import changes, journal
from kb.records.tables.faults import Fault
from kb.records.tables.gear import Item, StateSpell


def a_link(session: Session, cable: str | None, start: str, end: str) -> int:
    values = {"cable": cable, "from_item": start, "from_port": "out", "to_item": end}
    return links.connect(session, {**values, "to_port": "in"}, BEGAN)


def test_everything_moves_to_the_one_that_is_kept(session: Session, at: datetime) -> None:
    gone, kept = an_item(session, "CC-01"), an_item(session, "CC-02")
    an_item(session, "VC-01")
    a_link(session, None, "CC-01", "VC-01")
    loans.lend(session, "CC-01", {"borrower": "a school"}, at)
    upkeep.add_service(session, {"kind": "test", "work": "run", "items": "CC-01"}, at)
    gone_key = lookup.item(session, gone).key
    fault = Fault(text="dark", noticed_at=at, reporter="M.O.", seen_item_id=gone_key)
    fault.cause_kind, fault.cause_item_id = "own failure", gone_key
    session.add(fault)
    items.merge_item(session, "CC-01", "CC-02", at)
    key = lookup.item(session, kept).key
    assert [link.from_item for link in paths.links_of(session, "CC-02")] == ["CC-02"]
    assert [loan.borrower for loan in loans.loans_of(session, "CC-02")] == ["a school"]
    assert [line.work for line in upkeep.services_of(session, "CC-02")] == ["run"]
    assert (fault.seen_item_id, fault.cause_item_id) == (key, key)
    assert lookup.item(session, gone).key == key


def test_what_only_one_record_knows_is_kept(session: Session, at: datetime) -> None:
    an_item(session, "CC-01", serial="S-77", in_service="2025-05-19", note="loud fan", price="9")
    an_item(session, "CC-02", serial="S-78", in_service="2025-06-01", note="blue lid")
    items.merge_item(session, "CC-01", "CC-02", at)
    kept = lookup.item(session, "CC-02")
    assert (kept.serial, kept.price_minor) == ("S-78", 900)
    assert kept.in_service == date(2025, 5, 19)
    assert kept.note == "blue lid\nloud fan"


@pytest.mark.parametrize(("changed", "others"), [("CC-01", (1, 0)), ("CC-02", (0, 1))])
def test_what_was_changed_since_it_was_looked_at_is_not_merged(
    changed: str, others: tuple[int, int], session: Session, at: datetime
) -> None:
    for name in ("CC-01", "CC-02"):
        an_item(session, name)
    gone, kept = (lookup.item(session, name).version for name in ("CC-01", "CC-02"))
    items.change_item(session, changed, {"note": "loud fan"}, at)
    with pytest.raises(ConflictError, match="loud fan"):
        items.merge_item(session, "CC-01", "CC-02", at, (gone, kept))
    items.merge_item(session, "CC-01", "CC-02", at, (gone + others[0], kept + others[1]))


def test_the_one_that_goes_is_retired_and_its_states_stay_its_own(
    session: Session, at: datetime
) -> None:
    gone = lookup.item(session, an_item(session, "CC-01")).key
    kept = lookup.item(session, an_item(session, "CC-02")).key
    items.set_state(session, "CC-01", "doubtful", at)
    items.merge_item(session, "CC-01", "CC-02", at)
    states = {
        key: [
            row.state
            for row in session.scalars(select(StateSpell).where(StateSpell.item_id == key))
        ]
        for key in (gone, kept)
    }
    assert states == {gone: ["fit", "doubtful", "retired"], kept: ["fit"]}
    assert session.get_one(Item, gone).merged_into_id == kept


def test_a_chain_of_merges_stays_one_step_long(session: Session, at: datetime) -> None:
    codes = [an_item(session, f"CC-0{number}") for number in (1, 2, 3)]
    items.merge_item(session, "CC-01", "CC-02", at)
    items.merge_item(session, "CC-02", "CC-03", at)
    key = lookup.item(session, "CC-03").key
    assert [lookup.item(session, code).key for code in codes] == [key] * 3
    merged = session.scalars(select(Item.merged_into_id).where(Item.id != key)).all()
    assert merged == [key, key]


def test_the_thing_lies_where_either_record_was_put_last(session: Session, at: datetime) -> None:
    for name in ("RR", "C1"):
        a_place(session, name)
    an_item(session, "CC-01", place="RR")
    an_item(session, "CC-02", place="RR")
    items.move_item(session, "CC-01", "C1", at)
    items.merge_item(session, "CC-01", "CC-02", at)
    assert lookup.item(session, "CC-02").place_id == lookup.place(session, "C1").key


def test_a_service_that_named_both_names_it_once(session: Session, at: datetime) -> None:
    for name in ("CC-01", "CC-02"):
        an_item(session, name)
    values = {"kind": "test", "work": "run", "items": "CC-01=pass, CC-02=fail"}
    upkeep.add_service(session, values, at)
    items.merge_item(session, "CC-01", "CC-02", at)
    assert [line.result for line in upkeep.services_of(session, "CC-02")] == ["fail"]


def test_one_item_is_not_merged_with_itself(session: Session, at: datetime) -> None:
    code = an_item(session)
    with pytest.raises(ConflictError, match="CC-01 is one item already"):
        items.merge_item(session, code, "CC-01", at)


def test_what_is_in_use_is_not_merged_into_what_is_retired(session: Session, at: datetime) -> None:
    for name in ("CC-01", "CC-02"):
        an_item(session, name)
    items.set_state(session, "CC-02", "retired", at, "burnt")
    with pytest.raises(ConflictError, match="Merge the other way round"):
        items.merge_item(session, "CC-01", "CC-02", at)
    items.merge_item(session, "CC-02", "CC-01", at)


def test_two_that_are_both_on_loan_are_not_one_thing(session: Session, at: datetime) -> None:
    for name in ("CC-01", "CC-02"):
        an_item(session, name)
        loans.lend(session, name, {"borrower": f"school {name}"}, at)
    with pytest.raises(ConflictError, match="are both on loan"):
        items.merge_item(session, "CC-01", "CC-02", at)
    loans.take_back(session, "CC-01", at + timedelta(hours=1))
    items.merge_item(session, "CC-01", "CC-02", at)


def test_two_with_the_same_port_in_use_are_refused(session: Session, at: datetime) -> None:
    for name in ("CC-01", "CC-02", "VC-01", "VC-02"):
        an_item(session, name)
    first = a_link(session, None, "CC-01", "VC-01")
    a_link(session, None, "CC-02", "VC-02")
    with pytest.raises(ConflictError, match="both have a link from the port out"):
        items.merge_item(session, "CC-01", "CC-02", at)
    links.disconnect(session, f"link {first}", at)
    items.merge_item(session, "CC-01", "CC-02", at)


def test_two_cables_in_two_links_are_refused(session: Session, at: datetime) -> None:
    for name in ("CC-01", "CC-02", "VC-01", "VC-02"):
        an_item(session, name)
    for cable, start, end in (("HD-01", "CC-01", "VC-01"), ("HD-02", "CC-02", "VC-02")):
        a_cable(session, cable)
        a_link(session, cable, start, end)
    with pytest.raises(ConflictError, match="both have a link that they are the cable of"):
        items.merge_item(session, "HD-01", "HD-02", at)


def test_a_cable_and_what_it_joins_are_two_things(session: Session, at: datetime) -> None:
    for name in ("CC-01", "VC-01"):
        an_item(session, name)
    a_cable(session)
    a_link(session, "HD-01", "CC-01", "VC-01")
    with pytest.raises(ConflictError, match="were joined: they are two things"):
        items.merge_item(session, "HD-01", "CC-01", at)


def test_the_one_that_is_kept_tells_what_it_took_in(session: Session, at: datetime) -> None:
    gone = an_item(session, "CC-01")
    kept = lookup.item(session, an_item(session, "CC-02")).key
    read = changes.since(session, None).position
    items.merge_item(session, "CC-01", "CC-02", at)
    assert journal.steps(session, "item", kept)[-1].changes == {
        "merged_from": (None, f"CC-01 ({gone})"),
    }
    assert ("item", kept) in changes.since(session, read).changed, "its index lacks a code"
