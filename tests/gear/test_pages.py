"""The page behind a label tells all that is known of an item."""

from datetime import date, datetime, timedelta

import pytest
from builders import BEGAN, a_cable, a_drive, a_model, a_place, an_item
from sqlmodel import Session

from kb.errors import NotFoundError
from kb.gear import items, links, loans, pages, upkeep


def a_cabinet_of_leads(session: Session) -> None:
    for place in ("ST", "RR"):
        a_place(session, place)
    a_place(session, "C1", within="RR")
    a_place(session, "C2", within="ST")
    for name in ("CC-01", "VC-01"):
        an_item(session, name, place="RR")
    a_cable(session, "HD-01", place="RR")
    a_cable(session, "HD-02", place="ST/C2")
    a_cable(session, "HD-03", place="RR/C1")
    a_cable(session, "HD-04", place="RR")
    a_cable(session, "HD-05")


def names(session: Session, typed: str = "HD-01") -> list[str]:
    return [line.name for line in pages.item_page(session, typed).spares]


def test_every_field_is_on_the_page(session: Session, at: datetime) -> None:
    a_model(session, technical="length=3 m")
    code = a_cable(
        session,
        serial="S-77",
        in_service="2025-05-19",
        bought="2025-05-02",
        price="14.50",
        supplier="a shop",
        warranty_until="2027-05-02",
        note="stiff",
    )
    items.set_state(session, "HD-01", "doubtful", at)
    page = pages.item_page(session, code)
    assert (page.line.code, page.line.name, page.line.state) == (code, "HD-01", "doubtful")
    assert (page.version, page.serial, page.note) == (2, "S-77", "stiff")
    assert (page.in_service, page.bought) == (date(2025, 5, 19), date(2025, 5, 2))
    assert (page.price_minor, page.supplier) == (1_450, "a shop")
    assert page.warranty_until == date(2027, 5, 2)
    assert page.technical == {"length": "3 m"}
    assert page.codes == (code,)
    assert (page.loan, page.services, page.links, page.spares) == (None, (), (), ())


def test_what_hangs_on_the_item_is_on_the_page(session: Session, at: datetime) -> None:
    a_cabinet_of_leads(session)
    ends = {"from_item": "CC-01", "from_port": "out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, {"cable": "HD-01", **ends}, BEGAN)
    loans.lend(session, "HD-01", {"borrower": "a school"}, at)
    loans.take_back(session, "HD-01", at)
    loans.lend(session, "HD-01", {"borrower": "a festival"}, at)
    for day in range(7):
        values = {"kind": "test", "work": f"check {day}", "items": "HD-01=pass"}
        upkeep.add_service(session, values, at + timedelta(days=day))
    page = pages.item_page(session, "HD-01")
    assert [link.to_item for link in page.links] == ["VC-01"]
    assert page.loan is not None
    assert (page.loan.borrower, page.line.on_loan_to) == ("a festival", "a festival")
    assert [line.work for line in page.services] == [f"check {day}" for day in (6, 5, 4, 3, 2)]


def test_spares_of_the_model_are_told_nearest_first(session: Session) -> None:
    a_cabinet_of_leads(session)
    a_drive(session, place="RR")
    assert names(session) == ["HD-04", "HD-03", "HD-02", "HD-05"]
    assert names(session, "HD-03") == ["HD-01", "HD-04", "HD-02", "HD-05"]
    assert pages.item_page(session, "HD-01").spares_ready == 4
    assert pages.item_page(session, "DR-01").spares == ()


def test_what_is_not_ready_is_no_spare(session: Session, at: datetime) -> None:
    a_cabinet_of_leads(session)
    ends = {"from_item": "CC-01", "from_port": "out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, {"cable": "HD-02", **ends}, BEGAN)
    loans.lend(session, "HD-03", {"borrower": "a school"}, at)
    items.set_state(session, "HD-04", "set aside", at, "loose")
    assert names(session) == ["HD-05"]


def test_only_the_nearest_few_are_listed_and_the_rest_counted(session: Session) -> None:
    for number in range(9):
        a_cable(session, f"HD-{number}")
    page = pages.item_page(session, "HD-0")
    assert [line.name for line in page.spares] == [f"HD-{number}" for number in range(1, 6)]
    assert page.spares_ready == 8


def test_every_code_that_was_ever_on_it_leads_here(session: Session, at: datetime) -> None:
    gone, kept = a_cable(session, "HD-01"), a_cable(session, "HD-02")
    items.merge_item(session, gone, kept, at)
    page = pages.item_page(session, gone)
    assert page.line.name == "HD-02"
    assert set(page.codes) == {gone, kept}


def test_an_item_without_a_model_or_place_has_a_page(session: Session) -> None:
    an_item(session, "thing", model="")
    page = pages.item_page(session, "thing")
    assert (page.line.model, page.line.equipment_class, page.line.place) == (None, None, "")
    assert (page.technical, page.spares) == ({}, ())


def test_what_is_unknown_has_none(session: Session) -> None:
    with pytest.raises(NotFoundError, match="No item 'HD-99'"):
        pages.item_page(session, "HD-99")
