"""A spare in the place of a unit: its position and its links, all of it or nothing."""

import re
from datetime import timedelta

import pytest
from builders import BEGAN, a_cable, a_drive, a_place, an_item
from fault_builders import a_fault
from sqlmodel import Session, col, select

from kb.errors import ConflictError, NotFoundError, UnlikelyError
from kb.gear import items, links, loans, lookup, pages, paths, swapping
from kb.gear.swapping import Asked
from kb.records.tables.gear import Placement

LATER = BEGAN + timedelta(days=200)


def joins(session: Session, name: str) -> list[str]:
    return [
        f"{one.from_item} {one.from_port} | {one.cable} | {one.to_item} {one.to_port}"
        for one in paths.links_of(session, name)
    ]


def place(session: Session, name: str) -> str:
    return pages.item_page(session, name).line.place


@pytest.fixture(autouse=True)
def _studio(session: Session) -> None:
    a_place(session)
    for name, kind in (("tray 1", "position"), ("tray 2", "position"), ("drawer", "drawer")):
        a_place(session, name, within="RR", kind=kind)
    an_item(session, "CC-01", place="tray 1")
    an_item(session, "CC-02", place="drawer")
    an_item(session, "VC-01")
    for name in ("HD-01", "HD-02"):
        a_cable(session, name, place="drawer")
    values = {"from_item": "CC-01", "from_port": "video out", "to_item": "VC-01", "to_port": "in"}
    links.connect(session, values | {"cable": "HD-01"}, BEGAN)


def test_the_spare_takes_the_position_and_the_links_and_the_unit_its_place(
    session: Session,
) -> None:
    assert swapping.swap_item(session, "CC-01", "CC-02", LATER) == 1

    assert joins(session, "CC-02") == ["CC-02 video out | HD-01 | VC-01 in"]
    assert joins(session, "CC-01") == []
    assert (place(session, "CC-02"), place(session, "CC-01")) == ("RR/tray 1", "RR/drawer")
    before = paths.links_of(session, "CC-01", LATER - timedelta(seconds=1))
    assert [one.cable for one in before] == ["HD-01"]


def test_a_lead_takes_over_the_link_that_the_other_made(session: Session) -> None:
    assert swapping.swap_item(session, "HD-01", "HD-02", LATER) == 1

    assert joins(session, "HD-02") == ["CC-01 video out | HD-02 | VC-01 in"]
    assert joins(session, "HD-01") == []


def test_two_that_lie_in_positions_change_them(session: Session) -> None:
    items.move_item(session, "CC-02", "tray 2", BEGAN)

    swapping.swap_item(session, "CC-01", "CC-02", LATER)

    assert (place(session, "CC-02"), place(session, "CC-01")) == ("RR/tray 1", "RR/tray 2")


def test_a_unit_lies_nowhere_in_between_but_where_it_must(session: Session) -> None:
    key = lookup.item(session, "CC-01").key

    swapping.swap_item(session, "CC-01", "CC-02", LATER)

    placed = select(Placement).where(Placement.item_id == key).order_by(col(Placement.id))
    put = session.scalars(placed).all()
    assert [one.place_id is None for one in put] == [False, False]
    assert put[-1].reason == "swapped for CC-02"


@pytest.mark.parametrize(
    ("lies", "lying", "ends"),
    [
        ("drawer", "workbench", ("RR/tray 1", "RR/workbench")),
        ("drawer", "tray 2", ("RR/tray 1", "RR/tray 2")),
        ("tray 2", "drawer", ("RR/tray 1", "RR/drawer")),
        ("tray 2", "RR/tray 2", ("RR/tray 1", "RR/tray 2")),
    ],
)
def test_the_unit_is_put_where_one_says(
    lies: str, lying: str, ends: tuple[str, str], session: Session
) -> None:
    a_place(session, "workbench", within="RR", kind="area")
    items.move_item(session, "CC-02", lies, BEGAN)

    swapping.swap_item(session, "CC-01", "CC-02", LATER, asked=Asked(lying))

    assert (place(session, "CC-02"), place(session, "CC-01")) == ends


def test_two_in_one_drawer_trade_links_and_one_of_them_goes_to_the_bench(session: Session) -> None:
    a_place(session, "workbench", within="RR", kind="area")

    swapping.swap_item(session, "HD-01", "HD-02", LATER, asked=Asked("workbench"))

    assert (place(session, "HD-02"), place(session, "HD-01")) == ("RR/drawer", "RR/workbench")


def test_back_and_forth_leaves_all_as_it_was(session: Session) -> None:
    swapping.swap_item(session, "CC-01", "CC-02", LATER)
    swapping.swap_item(session, "CC-02", "CC-01", LATER + timedelta(hours=1))

    assert joins(session, "CC-01") == ["CC-01 video out | HD-01 | VC-01 in"]
    assert (place(session, "CC-01"), place(session, "CC-02")) == ("RR/tray 1", "RR/drawer")


@pytest.mark.parametrize(
    ("spare", "told"),
    [
        ("CC-01", "can't take its own place"),
        ("VC-01", "joined to something"),
        ("CC-03", "is set aside"),
        ("CC-04", "a theatre"),
    ],
)
def test_what_can_t_come_in_is_refused_and_nothing_moves(
    spare: str, told: str, session: Session
) -> None:
    for name in ("CC-03", "CC-04"):
        an_item(session, name, place="drawer")
    items.set_state(session, "CC-03", "set aside", LATER, "dead")
    loans.lend(session, "CC-04", {"borrower": "a theatre"}, BEGAN)

    with pytest.raises(ConflictError, match=told):
        swapping.swap_item(session, "CC-01", spare, LATER)

    assert joins(session, "CC-01") == ["CC-01 video out | HD-01 | VC-01 in"]
    assert place(session, "CC-01") == "RR/tray 1"


def test_what_looks_like_a_slip_comes_in_only_where_it_is_meant(session: Session) -> None:
    a_drive(session, "DR-01", place="drawer")
    for name in ("CC-05", "CC-06"):
        an_item(session, name, place="drawer")
    items.set_state(session, "CC-05", "doubtful", LATER, "warm")
    number = a_fault(session, "CC-06", LATER)

    for spare, told in (
        ("DR-01", "DR-01 is of class drive and CC-01 of class call-computer."),
        ("CC-05", "CC-05 is doubtful."),
        ("CC-06", f"CC-06 has an open fault ({number})."),
    ):
        with pytest.raises(UnlikelyError, match=re.escape(told)):
            swapping.swap_item(session, "CC-01", spare, LATER)
        assert joins(session, "CC-01") == ["CC-01 video out | HD-01 | VC-01 in"]

    swapping.swap_item(session, "CC-01", "CC-05", LATER, asked=Asked(sure=True))

    assert joins(session, "CC-05") == ["CC-05 video out | HD-01 | VC-01 in"]


@pytest.mark.parametrize(
    ("lying", "told"),
    [("tray 1", "position and CC-01 fills it"), ("tray 2", "position and CC-03 fills it")],
)
def test_a_position_that_is_filled_takes_no_unit(lying: str, told: str, session: Session) -> None:
    an_item(session, "CC-03", place="tray 2")

    with pytest.raises(ConflictError, match=told):
        swapping.swap_item(session, "CC-01", "CC-02", LATER, asked=Asked(lying))


def test_what_is_retired_is_not_swapped(session: Session) -> None:
    items.set_state(session, "CC-01", "retired", LATER, "dead")

    with pytest.raises(ConflictError, match="is retired"):
        swapping.swap_item(session, "CC-01", "CC-02", LATER)


def test_the_second_of_two_is_told_and_an_unknown_one_is_named(session: Session) -> None:
    seen = pages.item_page(session, "CC-01").version
    items.change_item(session, "CC-01", {"note": "warm"}, LATER)

    with pytest.raises(ConflictError, match="warm"):
        swapping.swap_item(session, "CC-01", "CC-02", LATER, seen)
    with pytest.raises(NotFoundError):
        swapping.swap_item(session, "CC-01", "CC-99", LATER)
    with pytest.raises(NotFoundError, match="attic"):
        swapping.swap_item(session, "CC-01", "CC-02", LATER, asked=Asked("attic"))
